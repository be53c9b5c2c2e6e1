package telegram

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/go-telegram/bot/models"

	"yardbell/handlers"
	"yardbell/storage"
)

// transport is the name under which lines of this service are taken in.
const transport = "telegram"

// ext is a line's own id in the file: what it was, where, and which message.
type ext struct {
	kind    string // m: a message, e: an edited one, c: a pressed button
	chat    int64
	message int
	thread  int
	more    string
}

func (e ext) String() string {
	return fmt.Sprintf("%s:%d:%d:%d:%s", e.kind, e.chat, e.message, e.thread, e.more)
}

func parseExt(s string) (e ext) {
	f := strings.SplitN(s, ":", 5)
	if len(f) < 4 {
		return e
	}
	e.kind = f[0]
	_, _ = fmt.Sscan(f[1], &e.chat)
	_, _ = fmt.Sscan(f[2], &e.message)
	_, _ = fmt.Sscan(f[3], &e.thread)
	return e
}

// message takes a typed line in.
func (s *Service) message(ctx context.Context, m *models.Message, edited bool) error {
	switch {
	case m.MigrateToChatID != 0:
		return s.moved(ctx, m.Chat.ID, m.MigrateToChatID)
	case m.MigrateFromChatID != 0:
		return s.moved(ctx, m.MigrateFromChatID, m.Chat.ID)
	case !typed(m):
		return nil
	}
	text, direct, ours := s.words(m)
	if !ours || strings.TrimSpace(text) == "" {
		return nil
	}
	about := s.repliesTo(m)
	house, ok, err := s.household(ctx, m.Chat, m.From, about)
	if err != nil {
		return err
	}
	if !ok {
		return s.stranger(ctx, m, text, direct)
	}
	if !direct && about == 0 && nameless(m) && !strings.HasPrefix(text, "/") || place(m) && !house.keeper {
		return nil // said to the others
	}
	e := ext{kind: "m", chat: m.Chat.ID, message: m.ID, thread: topic(m)}
	if house.others {
		return s.ask(ctx, house.id, s.heard(house, e, ""), whichHouse) // the line itself may be for another household's file
	}
	if edited {
		stop, err := s.editedLine(ctx, house, m, e)
		if err != nil || stop {
			return err
		}
		e.kind, e.more = "e", itoa(int64(m.EditDate))
	}
	h := s.heard(house, e, text)
	h.At = typedAt(max(m.Date, m.EditDate), h.At)
	h.Direct = direct || about != 0 || m.Chat.Type == models.ChatTypePrivate
	if h.Answers, err = s.ringOf(ctx, house, m.Chat.ID, about); err != nil {
		return err
	}
	return s.line(ctx, house, m, h)
}

// line has a line answered: by the desks, at once or when its file is there, or
// here where it is about who is who.
func (s *Service) line(ctx context.Context, house house, m *models.Message, h handlers.Heard) error {
	if reply := s.aside(m, &h); reply != nil {
		return s.ask(ctx, house.id, h, reply)
	}
	if m.Document != nil {
		if later, err := s.withDocument(ctx, house.id, h, m.Document); err != nil || later {
			return err
		}
	}
	_, err := s.hear(ctx, h)
	return err
}

// typed reports a message that somebody wrote here: no bot, and nothing handed on
// from elsewhere.
func typed(m *models.Message) bool {
	return m.From != nil && (!m.From.IsBot || nameless(m)) && m.ViaBot == nil && m.ForwardOrigin == nil
}

// nameless reports a message of somebody who writes as the group itself: the
// service gives all of those one account, which is nobody's.
func nameless(m *models.Message) bool {
	return m.SenderChat != nil && m.SenderChat.ID == m.Chat.ID
}

// place reports a location sent once, as a household tells where it is: neither a
// shop's, nor one that follows somebody about.
func place(m *models.Message) bool {
	return m.Location != nil && m.Venue == nil && m.Location.LivePeriod == 0 && m.EditDate == 0
}

// topic returns the number of a message's topic. Replies have a thread in any
// supergroup, which is no place to write to.
func topic(m *models.Message) int {
	if !m.IsTopicMessage {
		return 0
	}
	return m.MessageThreadID
}

// repliesTo returns the number of our message that a message replies to.
func (s *Service) repliesTo(m *models.Message) int {
	if r := m.ReplyToMessage; r != nil && r.From != nil && r.From.ID == s.me.ID {
		return r.ID
	}
	return 0
}

// moved keeps a household whose group has got another number.
func (s *Service) moved(ctx context.Context, from, to int64) error {
	err := s.do(ctx, func(tx *storage.Tx) error { return tx.MoveChat(chatName(from), chatName(to)) })
	if errors.Is(err, storage.ErrTaken) {
		s.cfg.Log.Error("a group moved to a number that is another household's already; both stay as they are", "from", chatName(from), "to", chatName(to))
		return nil
	}
	return err
}

// late is how long after it was typed a line still counts as typed now.
const late = 2 * time.Minute

// typedAt is when a line was typed: a line that waited through an outage keeps
// its own time.
func typedAt(date int, now time.Time) time.Time {
	at := time.Unix(int64(date), 0).UTC()
	if date == 0 || at.After(now) || now.Sub(at) < late || now.Sub(at) > 48*time.Hour {
		return now
	}
	return at
}

// words returns what was typed, whether it was said to the bot, and whether it is
// for this bot at all: a command of another is not.
func (s *Service) words(m *models.Message) (text string, direct, ours bool) {
	text, entities := m.Text, m.Entities
	if text == "" {
		text, entities = m.Caption, m.CaptionEntities
	}
	if place(m) {
		return fmt.Sprintf("house at %.4f %.4f", m.Location.Latitude, m.Location.Longitude), true, true
	}
	name := "@" + s.me.Username
	for i := len(entities) - 1; i >= 0; i-- { // from the end, so that places stay right
		e := entities[i]
		before, word, after, ok := cut(text, e.Offset, e.Length)
		if !ok {
			continue
		}
		switch e.Type {
		case models.MessageEntityTypeBotCommand:
			if _, whose, named := strings.Cut(word, "@"); named && e.Offset == 0 {
				if !strings.EqualFold("@"+whose, name) {
					return "", false, false
				}
				text, direct = before+strings.TrimSuffix(word, "@"+whose)+after, true
			}
		case models.MessageEntityTypeMention:
			if strings.EqualFold(word, name) {
				text, direct = strings.TrimSpace(before)+" "+strings.TrimSpace(after), true
			}
		}
	}
	text = strings.TrimSpace(text)
	if first, _, _ := strings.Cut(text, " "); strings.EqualFold(first, "/start") { // how the service opens a chat with a bot
		return "/help", true, true
	}
	return text, direct, true
}

// cut splits a text at a place counted in UTF-16 units, as the service counts.
func cut(text string, offset, length int) (before, word, after string, ok bool) {
	u := utf16.Encode([]rune(text))
	if offset < 0 || length < 0 || offset+length > len(u) {
		return "", "", "", false
	}
	say := func(u []uint16) string { return string(utf16.Decode(u)) }
	return say(u[:offset]), say(u[offset : offset+length]), say(u[offset+length:]), true
}

// house is a household as somebody's line meets it.
type house struct {
	id     int64
	chat   string
	name   string // under which name the line counts
	keeper bool
	guest  bool // nobody of the household
	tab    bool // a tablet that everyone uses
	others bool // in a private chat: of several households, and not plain of which
}

// household returns the household of a chat; of a private chat that of the person,
// by the message of ours that is spoken of where there is one.
func (s *Service) household(ctx context.Context, c models.Chat, from *models.User, about int) (h house, ok bool, err error) {
	err = s.do(ctx, func(tx *storage.Tx) error {
		if c.Type == models.ChatTypePrivate {
			h, ok, err = home(tx, chatName(c.ID), account(from), about)
		} else {
			h.chat = chatName(c.ID)
			h.id, ok, err = tx.HouseholdNumber(h.chat)
		}
		if err != nil || !ok {
			return err
		}
		return h.recognise(tx, from)
	})
	return h, ok, err
}

// home returns the household that is spoken to in somebody's private chat: one in
// which they are still.
func home(tx *storage.Tx, chat, account string, about int) (h house, ok bool, err error) {
	all, err := tx.HouseholdsOf(account)
	if err != nil || len(all) == 0 {
		return h, false, err
	}
	if err := tx.SetPrivate(account); err != nil {
		return h, false, err
	}
	from, known, err := tx.ShownBy(chat, about)
	if err != nil {
		return h, false, err
	}
	for _, c := range all {
		if !known || c.Household == from {
			return house{id: c.Household, chat: c.Chat, others: !known && len(all) > 1}, true, nil
		}
	}
	return h, false, nil
}

func account(u *models.User) string { return chatName(u.ID) }

// recognise finds out under whose name a line of an account counts.
func (h *house) recognise(tx *storage.Tx, from *models.User) error {
	known, tied, err := tx.AccountOf(h.id, account(from))
	if err != nil {
		return err
	}
	people, err := tx.People(h.id)
	h.name, h.guest, h.tab = guestName(from, people), !known.Shared, known.Shared
	for _, p := range people {
		if tied && !known.Shared && p.ID == known.Person && !p.Gone {
			h.name, h.guest, h.keeper = p.Name, false, p.Keeper
		}
	}
	return err
}

// heard is a line of somebody.
func (s *Service) heard(h house, e ext, text string) handlers.Heard {
	return handlers.Heard{Line: s.typed(h, e, text), Chat: h.chat, Zone: s.cfg.Zone, Guest: h.guest, Shared: h.tab}
}

func (s *Service) typed(h house, e ext, text string) storage.Line {
	return storage.Line{Transport: transport, Ext: e.String(), Chat: alone(e.chat), Name: h.name, At: s.cfg.Now(), Text: text}
}

// alone is the name of a chat of one person, empty for a group's.
func alone(chat int64) string {
	if chat > 0 {
		return chatName(chat)
	}
	return ""
}

// guestName is what somebody is called who is nobody of the household yet: never
// the name of somebody who is.
func guestName(from *models.User, people []storage.Person) string {
	name := strings.Join(strings.Fields(from.FirstName), " ")
	if name == "" || len(name) > 40 || !utf8.ValidString(name) {
		name = "a guest"
	}
	for _, p := range people {
		if strings.EqualFold(p.Name, name) {
			return name + " (guest)"
		}
	}
	return name
}

// hear hands a line to the desks and lets the answer go out.
func (s *Service) hear(ctx context.Context, h handlers.Heard) (int64, error) {
	line, err := s.cfg.Roster.Hear(ctx, s.cfg.Store, h)
	if err != nil {
		return 0, err
	}
	s.telling.Lock() // a line whose file was fetched comes beside the others
	s.cfg.OnLine()
	s.telling.Unlock()
	s.Kick()
	return line, nil
}

func (s *Service) do(ctx context.Context, fn func(*storage.Tx) error) error {
	return s.cfg.Store.Do(ctx, fn)
}

// editedLine deals with a line that was changed after it was typed: what it wrote,
// as it was typed or as it was changed since, stays, and that is said; one that
// wrote nothing is read anew.
func (s *Service) editedLine(ctx context.Context, h house, m *models.Message, e ext) (stop bool, err error) {
	typed := e.String()
	e.kind = "e"
	versions := e.String()
	e.more = itoa(int64(m.EditDate))
	err = s.do(ctx, func(tx *storage.Tx) error {
		wrote, err := tx.WroteEntry(h.id, transport, typed, versions)
		if err != nil || !wrote {
			return err
		}
		stop = true
		inbox, fresh, err := tx.Claim(h.id, s.heard(h, e, m.Text).Line)
		if err != nil || !fresh {
			return err
		}
		return tx.Post(h.id, inbox, storage.Message{
			At: s.cfg.Now(), Kind: storage.KindReply, Status: storage.Refused,
			Head: "What was written stays as it was. To change it: undo, and type it anew.",
		})
	})
	s.Kick()
	return stop, err
}

// ringOf returns the number of the ring that a message of ours shows, when it
// shows one that is open.
func (s *Service) ringOf(ctx context.Context, h house, chat int64, message int) (num int, err error) {
	if message == 0 {
		return 0, nil
	}
	err = s.do(ctx, func(tx *storage.Tx) error {
		key, ok, err := tx.ShownKey(h.id, chatName(chat), message)
		if err != nil || !ok {
			return err
		}
		rings, err := ringsShown(tx, h.id, key)
		if err != nil {
			return err
		}
		rings = slices.DeleteFunc(rings, func(g storage.Ring) bool { return g.Answer != "" })
		if len(rings) == 1 {
			num = rings[0].Num
		}
		return nil
	})
	return num, err
}

// copyMark begins the key of a message in a private chat; the numbers of the
// rings that it tells follow.
const copyMark = "copy"

func copyKey(rings []int) string {
	return strings.Trim(copyMark+" "+strings.Trim(fmt.Sprint(rings), "[]"), " ")
}

// ringsShown returns the rings that a message tells, by its key.
func ringsShown(tx *storage.Tx, household int64, key string) (out []storage.Ring, err error) {
	numbers, copied := strings.CutPrefix(key, copyMark)
	if !copied {
		return tx.BoardRings(household, key)
	}
	for n := range strings.FieldsSeq(numbers) {
		g, ok, err := tx.RingNumbered(household, int(atoi(n)))
		if err != nil {
			return nil, err
		}
		if ok {
			out = append(out, g)
		}
	}
	return out, nil
}
