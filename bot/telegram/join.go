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

	"yardbell/handlers"
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

// keyGuard slows down who tries keys: after two slips each wrong one doubles the
// time in which the chat's next is not looked at, and all chats together have a
// bound too.
type keyGuard struct {
	mu    sync.Mutex
	wrong map[string]int
	until map[string]time.Time
}

func newKeyGuard() *keyGuard {
	return &keyGuard{wrong: map[string]int{}, until: map[string]time.Time{}}
}

const (
	allChats  = "all"
	freeSlips = 2
)

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
	if n := g.wrong[chat] - freeSlips; n > 0 {
		g.until[chat] = now.Add(time.Second << min(n, 12))
	}
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

// answer is what a line is answered with that no desk knows: about accounts, keys,
// and who somebody is.
type answer func(tx *storage.Tx, people []storage.Person) (storage.Message, error)

// aside returns how such a line is answered, nil for a line of the desks. What the
// file must not hold is taken out of the line.
func (s *Service) aside(m *models.Message, line *handlers.Heard) answer {
	if nameless(m) {
		return whoTypes
	}
	if key, is := joins(line.Text); is {
		line.Text = "house join"
		return s.housed(line.Chat, key)
	}
	if name, is := claims(line.Text); is {
		return claim(m.From, name)
	}
	if shares(line.Text) {
		return share(m.From)
	}
	return nil
}

// whoTypes answers somebody who writes as the group itself.
func whoTypes(*storage.Tx, []storage.Person) (storage.Message, error) {
	return storage.Message{Status: storage.Refused, Head: "You write as the group itself, so I cannot tell who you are. Switch off that you remain anonymous here, and type it anew."}, nil
}

// whichHouse answers in a private chat with somebody of several households.
func whichHouse(*storage.Tx, []storage.Person) (storage.Message, error) {
	return storage.Message{Status: storage.Asked, Head: "Which household is that for? You are in more than one. Type it in the group of the one you mean, or here as a reply to something that I told you from it."}, nil
}

// housed answers a key that is typed where a household lives already: everyone
// there has seen it, so it counts no more.
func (s *Service) housed(chat, key string) answer {
	return func(tx *storage.Tx, _ []storage.Person) (storage.Message, error) {
		now := s.cfg.Now()
		if s.keys.may(chat, now) {
			_, ok, err := tx.UseKey(Hash(key), now)
			if err != nil {
				return storage.Message{}, err
			}
			if !ok {
				s.keys.failed(chat, now)
			}
		}
		return storage.Message{Status: storage.Refused, Head: "This is a household's chat already. A key that was typed here counts no more: make another where I run, with yardbell key, and type it in the other group only."}, nil
	}
}

// share asks a keeper whether an account is the tablet that everyone uses.
func share(from *models.User) answer {
	return func(_ *storage.Tx, people []storage.Person) (storage.Message, error) {
		reply := storage.Message{Status: storage.Asked, Head: "Is this account a tablet that everyone uses? A keeper presses, from another account."}
		for _, p := range people { // a row of the accounts names somebody; for a shared one that means nothing
			if !p.Gone {
				reply.Buttons = []storage.Button{{Label: "Yes, everyone's", Say: fmt.Sprintf("%s%d:%s%d", tieMark, from.ID, sharedMark, p.ID)}}
			}
		}
		return reply, nil
	}
}

// claim asks the keepers whether an account is the person that it says it is.
func claim(from *models.User, name string) answer {
	return func(_ *storage.Tx, people []storage.Person) (storage.Message, error) {
		for _, p := range people {
			if !p.Gone && strings.EqualFold(p.Name, name) {
				return storage.Message{
					Status: storage.Asked, Head: fmt.Sprintf("%s says: I am %s. A keeper presses, if it is so.", from.FirstName, p.Name),
					Buttons: []storage.Button{{Label: "Yes, that is " + p.Name, Say: fmt.Sprintf("%s%d:%d", tieMark, from.ID, p.ID)}},
				}, nil
			}
		}
		if name == "" {
			return storage.Message{Status: storage.Refused, Head: "Who are you? For example: house me Ivo"}, nil
		}
		return storage.Message{Status: storage.Refused, Head: fmt.Sprintf("I know nobody called %q here. A keeper can type: house add NAME", name)}, nil
	}
}

// ask takes a line in that no desk knows, and answers it.
func (s *Service) ask(ctx context.Context, household int64, line handlers.Heard, reply answer) error {
	err := s.do(ctx, func(tx *storage.Tx) error {
		inbox, fresh, err := tx.Claim(household, line.Line)
		if err != nil || !fresh {
			return err
		}
		people, err := tx.People(household)
		if err != nil {
			return err
		}
		out, err := reply(tx, people)
		if err != nil {
			return err
		}
		out.At, out.Kind, out.To = line.At, storage.KindReply, line.Name
		return tx.Post(household, inbox, out)
	})
	s.Kick()
	return err
}

// stranger deals with a chat that is nobody's household: the right key makes it
// one, anything else gets one polite line and then silence.
func (s *Service) stranger(ctx context.Context, m *models.Message, text string, direct bool) error {
	chat := chatName(m.Chat.ID)
	if key, is := joins(text); is && m.Chat.Type != models.ChatTypePrivate {
		if nameless(m) { // a keeper has to be somebody
			return s.polite(ctx, m.Chat)
		}
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
	text := "I keep a household's book and talk in its own group only. Where I run, a house key is printed; in the group somebody types, under their own name: /house join KEY"
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
// that has lived in a terminal so far moves into the chat with all it has, by the
// key that was made for it.
func (s *Service) join(ctx context.Context, m *models.Message, chat, key string) (ok bool, err error) {
	now := s.cfg.Now()
	err = s.do(ctx, func(tx *storage.Tx) (err error) {
		own := false
		if own, ok, err = tx.UseKey(Hash(key), now); err != nil || !ok {
			return err
		}
		id, moved := int64(0), false
		if own {
			if id, moved, err = homeless(tx, chat); err != nil {
				return err
			}
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
func homeless(tx *storage.Tx, chat string) (int64, bool, error) {
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
	_, ok, err := s.household(ctx, c.Chat, &c.From, 0)
	if err != nil || ok {
		return err
	}
	return s.polite(ctx, c.Chat)
}
