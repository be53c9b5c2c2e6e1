package telegram

import (
	"context"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base32"
	"encoding/hex"
	"fmt"
	"strings"
	"sync"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"yardbell/storage"
)

// NewKey makes a house key: eighty bits, in letters that are hard to mistake.
func NewKey() (string, error) {
	b := make([]byte, 10)
	if _, err := rand.Read(b); err != nil {
		return "", err
	}
	return strings.ToLower(base32.StdEncoding.EncodeToString(b)), nil
}

// Hash is how a key is kept: whoever reads the file cannot join with it.
func Hash(key string) string {
	sum := sha256.Sum256([]byte("house key " + strings.ToLower(strings.TrimSpace(key))))
	return hex.EncodeToString(sum[:])
}

// keyGuard slows down who tries keys: each wrong one doubles the time in which
// the chat's next is not looked at, and all chats together have a bound too.
type keyGuard struct {
	mu    sync.Mutex
	wrong map[string]int
	until map[string]time.Time
}

func newKeyGuard() *keyGuard {
	return &keyGuard{wrong: map[string]int{}, until: map[string]time.Time{}}
}

const allChats = "all"

// may reports whether a key of a chat is looked at now.
func (g *keyGuard) may(chat string, now time.Time) bool {
	g.mu.Lock()
	defer g.mu.Unlock()
	return !now.Before(g.until[chat]) && !now.Before(g.until[allChats])
}

// failed notes a wrong key.
func (g *keyGuard) failed(chat string, now time.Time) {
	g.mu.Lock()
	defer g.mu.Unlock()
	g.wrong[chat]++
	g.until[chat] = now.Add(time.Second << min(g.wrong[chat], 12))
	g.wrong[allChats]++
	g.until[allChats] = now.Add(200 * time.Millisecond)
}

// joins reads "house join KEY", with or without a slash.
func joins(text string) (key string, is bool) {
	f := strings.Fields(strings.TrimPrefix(text, "/"))
	if len(f) != 3 || !strings.EqualFold(f[0], "house") || !strings.EqualFold(f[1], "join") {
		return "", false
	}
	return f[2], true
}

// claims reads "house me Ivo".
func claims(text string) (name string, is bool) {
	f := strings.Fields(strings.TrimPrefix(text, "/"))
	if len(f) < 2 || !strings.EqualFold(f[0], "house") || !strings.EqualFold(f[1], "me") {
		return "", false
	}
	return strings.Join(f[2:], " "), true
}

// tieMark begins the data of the button by which a keeper confirms who is who;
// sharedMark stands before the person for a tablet that everyone uses.
const (
	tieMark    = "tie:"
	sharedMark = "s"
)

// shares reads "house shared".
func shares(text string) bool {
	f := strings.Fields(strings.TrimPrefix(text, "/"))
	return len(f) == 2 && strings.EqualFold(f[0], "house") && strings.EqualFold(f[1], "shared")
}

// share asks a keeper whether an account is the tablet that everyone uses.
func (s *Service) share(ctx context.Context, h house, m *models.Message) error {
	return s.ask(ctx, h, m, func(people []storage.Person) storage.Message {
		reply := storage.Message{Status: storage.Asked, Head: "Is this account a tablet that everyone uses? A keeper presses, from another account."}
		for _, p := range people { // a row of the accounts names somebody; for a shared one that means nothing
			if !p.Gone {
				reply.Buttons = []storage.Button{{Label: "Yes, everyone's", Say: fmt.Sprintf("%s%d:%s%d", tieMark, m.From.ID, sharedMark, p.ID)}}
			}
		}
		return reply
	})
}

// claim asks the keepers whether an account is the person that it says it is.
func (s *Service) claim(ctx context.Context, h house, m *models.Message, name string) error {
	return s.ask(ctx, h, m, func(people []storage.Person) storage.Message {
		for _, p := range people {
			if !p.Gone && strings.EqualFold(p.Name, name) {
				return storage.Message{
					Status: storage.Asked, Head: fmt.Sprintf("%s says: I am %s. A keeper presses, if it is so.", m.From.FirstName, p.Name),
					Buttons: []storage.Button{{Label: "Yes, that is " + p.Name, Say: fmt.Sprintf("%s%d:%d", tieMark, m.From.ID, p.ID)}},
				}
			}
		}
		if name == "" {
			return storage.Message{Status: storage.Refused, Head: "Who are you? For example: house me Ivo"}
		}
		return storage.Message{Status: storage.Refused, Head: fmt.Sprintf("I know nobody called %q here. A keeper can type: house add NAME", name)}
	})
}

// ask takes a line in that is about accounts, which no desk knows, and answers it.
func (s *Service) ask(ctx context.Context, h house, m *models.Message, reply func([]storage.Person) storage.Message) error {
	e := ext{kind: "m", chat: m.Chat.ID, message: m.ID, thread: m.MessageThreadID}
	err := s.do(ctx, func(tx *storage.Tx) error {
		now := s.cfg.Now()
		inbox, fresh, err := tx.Claim(h.id, s.typed(h, e, m.Text))
		if err != nil || !fresh {
			return err
		}
		people, err := tx.People(h.id)
		if err != nil {
			return err
		}
		out := reply(people)
		out.At, out.Kind = now, storage.KindReply
		return tx.Post(h.id, inbox, out)
	})
	s.Kick()
	return err
}

// stranger deals with a chat that is nobody's household: the right key makes it
// one, anything else gets one polite line and then silence.
func (s *Service) stranger(ctx context.Context, m *models.Message, text string, direct bool) error {
	chat := chatName(m.Chat.ID)
	if key, is := joins(text); is && m.Chat.Type != models.ChatTypePrivate {
		now := s.cfg.Now()
		if !s.keys.may(chat, now) {
			return nil
		}
		ok, err := s.join(ctx, m, chat, key)
		if err != nil || ok {
			return err
		}
		s.keys.failed(chat, now)
		s.cfg.Log.Warn("a wrong house key was tried", "chat", chat)
		return s.polite(ctx, m.Chat)
	}
	if !direct && m.Chat.Type != models.ChatTypePrivate {
		return nil
	}
	return s.polite(ctx, m.Chat)
}

// polite says one line to a chat that is nobody's, once.
func (s *Service) polite(ctx context.Context, c models.Chat) error {
	first := false
	if err := s.do(ctx, func(tx *storage.Tx) (err error) {
		first, err = tx.Stranger(chatName(c.ID), s.cfg.Now())
		return err
	}); err != nil || !first {
		return err
	}
	text := "I keep a household's book and talk in its own group only. Where I run, a house key is printed; in the group somebody types: /house join KEY"
	if c.Type == models.ChatTypePrivate {
		text = "I talk in a household's group, and here with its people. In the group, type: /house me NAME"
	}
	s.beside(ctx, func(ctx context.Context) error {
		_, err := s.api.SendMessage(ctx, &tg.SendMessageParams{ChatID: c.ID, Text: text})
		return err
	})
	return nil
}

// join makes a chat a household's, and its sender the first keeper. A household
// that has lived in a terminal so far moves into the chat with all it has.
func (s *Service) join(ctx context.Context, m *models.Message, chat, key string) (ok bool, err error) {
	now := s.cfg.Now()
	err = s.do(ctx, func(tx *storage.Tx) error {
		if ok, err = tx.UseKey(Hash(key), now); err != nil || !ok {
			return err
		}
		id, moved, err := s.homeless(tx, chat)
		if err != nil {
			return err
		}
		if !moved {
			if id, err = tx.Found(chat, s.cfg.Zone, guestName(m.From, nil), now); err != nil {
				return err
			}
		}
		people, err := tx.People(id)
		if err != nil {
			return err
		}
		for _, p := range people {
			if p.Keeper && !p.Gone {
				if err := tx.TieAccount(id, p.ID, account(m.From)); err != nil {
					return err
				}
				return tx.Post(id, 0, s.welcome(p.Name, moved))
			}
		}
		return nil
	})
	s.Kick()
	return ok, err
}

// homeless returns a household that has no chat of this service yet, and gives it
// the chat.
func (s *Service) homeless(tx *storage.Tx, chat string) (int64, bool, error) {
	all, err := tx.Households()
	if err != nil {
		return 0, false, err
	}
	for _, id := range all {
		h, err := tx.Household(id)
		if err != nil {
			return 0, false, err
		}
		if !Serves(h.Chat) {
			return id, true, tx.SetChat(id, chat)
		}
	}
	return 0, false, nil
}

// welcome is the first thing said in a household's chat: three questions, the rest
// has defaults.
func (s *Service) welcome(keeper string, moved bool) storage.Message {
	m := storage.Message{At: s.cfg.Now(), Kind: storage.KindNotice, Head: fmt.Sprintf("This is the household's chat now, and %s its keeper.", keeper)}
	if moved {
		m.Lines = append(m.Lines, "All that was written before is here. Others say who they are: /house me NAME")
	} else {
		m.Lines = append(m.Lines,
			"Three questions, each answered with a line; or send your location:",
			"Where? /house at 57.2 -3.7 and /house zone "+s.cfg.Zone,
			"Who? /house add Tom keeper, /house add Ivo child 13; then each: /house me NAME",
			"When are morning and supper? /house rounds 07:00 16:00",
			"The rest is set: metric, day first, no quiet hours. /house shows it, /help what can be typed.")
	}
	if !s.me.CanReadAllGroupMessages {
		m.Lines = append(m.Lines, "I see only lines with a slash, a mention or a reply here: the group's privacy mode hides the rest. To let plain lines through, ask BotFather for /setprivacy, choose Disable, and add me to the group again.")
	}
	return m
}

// member hears that the bot was taken into a chat, or out of it.
func (s *Service) member(ctx context.Context, c *models.ChatMemberUpdated) error {
	switch c.NewChatMember.Type {
	case models.ChatMemberTypeLeft, models.ChatMemberTypeBanned:
		s.cfg.Log.Warn("removed from a chat; its records are kept", "chat", chatName(c.Chat.ID))
		return nil
	}
	if c.Chat.Type == models.ChatTypePrivate {
		return nil
	}
	_, ok, err := s.household(ctx, c.Chat, &c.From)
	if err != nil || ok {
		return err
	}
	return s.polite(ctx, c.Chat)
}
