package telegram

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"strings"
	"time"
	"unicode/utf16"
	"unicode/utf8"

	tg "github.com/go-telegram/bot"
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
	if m.MigrateToChatID != 0 {
		return s.do(ctx, func(tx *storage.Tx) error { return tx.MoveChat(chatName(m.Chat.ID), chatName(m.MigrateToChatID)) })
	}
	if m.MigrateFromChatID != 0 {
		return s.do(ctx, func(tx *storage.Tx) error { return tx.MoveChat(chatName(m.MigrateFromChatID), chatName(m.Chat.ID)) })
	}
	if m.From == nil || m.From.IsBot || m.ViaBot != nil || m.ForwardOrigin != nil {
		return nil // not typed here by a person
	}
	text, direct, ours := s.words(m)
	if !ours || strings.TrimSpace(text) == "" {
		return nil
	}
	house, ok, err := s.household(ctx, m.Chat, m.From)
	if err != nil {
		return err
	}
	if !ok {
		return s.stranger(ctx, m, text, direct)
	}
	if name, is := claims(text); is {
		return s.claim(ctx, house, m, name)
	}
	if shares(text) {
		return s.share(ctx, house, m)
	}
	e := ext{kind: "m", chat: m.Chat.ID, message: m.ID, thread: m.MessageThreadID}
	if edited {
		stop, err := s.editedLine(ctx, house, m, e)
		if err != nil || stop {
			return err
		}
		e.kind, e.more = "e", itoa(int64(m.EditDate))
	}
	if m.Document != nil {
		if text, err = s.withDocument(ctx, m, text); err != nil {
			return err
		}
	}
	h := s.heard(house, e, text)
	h.At = typedAt(m.Date, h.At)
	h.Direct = direct || m.Chat.Type == models.ChatTypePrivate
	if m.ReplyToMessage != nil && m.ReplyToMessage.From != nil && m.ReplyToMessage.From.ID == s.me.ID {
		h.Direct = true
		if h.Answers, err = s.ringOf(ctx, house, m.ReplyToMessage.ID); err != nil {
			return err
		}
	}
	_, err = s.hear(ctx, h)
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
	if m.Location != nil && text == "" {
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
	id    int64
	chat  string
	name  string // under which name the line counts
	guest bool   // nobody of the household
	tab   bool   // a tablet that everyone uses
}

// household returns the household of a chat; of a private chat that of the person.
func (s *Service) household(ctx context.Context, c models.Chat, from *models.User) (h house, ok bool, err error) {
	err = s.do(ctx, func(tx *storage.Tx) error {
		name := chatName(c.ID)
		if c.Type == models.ChatTypePrivate {
			if name, ok, err = tx.HouseholdOfAccount(account(from)); err != nil || !ok {
				return err
			}
			if err := tx.SetPrivate(account(from)); err != nil {
				return err
			}
		}
		id, is, err := tx.HouseholdNumber(name)
		if ok = is; err != nil || !is {
			return err
		}
		h = house{id: id, chat: name}
		return h.recognise(tx, from)
	})
	return h, ok, err
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
			h.name, h.guest = p.Name, false
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
	s.cfg.OnLine()
	s.Kick()
	return line, nil
}

func (s *Service) do(ctx context.Context, fn func(*storage.Tx) error) error {
	return s.cfg.Store.Do(ctx, fn)
}

// editedLine deals with a line that was changed after it was typed: what it wrote
// stays, and that is said; one that wrote nothing is read anew.
func (s *Service) editedLine(ctx context.Context, h house, m *models.Message, e ext) (stop bool, err error) {
	err = s.do(ctx, func(tx *storage.Tx) error {
		wrote, err := tx.WroteEntry(h.id, transport, e.String())
		if err != nil || !wrote {
			return err
		}
		stop = true
		e.kind, e.more = "e", itoa(int64(m.EditDate))
		inbox, fresh, err := tx.Claim(h.id, s.typed(h, e, m.Text))
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
func (s *Service) ringOf(ctx context.Context, h house, message int) (num int, err error) {
	err = s.do(ctx, func(tx *storage.Tx) error {
		key, ok, err := tx.ShownKey(h.id, message)
		if err != nil || !ok {
			return err
		}
		rings, err := tx.BoardRings(h.id, key)
		open := 0
		for _, g := range rings {
			if g.Answer == "" {
				num = g.Num
				open++
			}
		}
		if open != 1 {
			num = 0
		}
		return err
	})
	return num, err
}

// maxDocument is the most that is read of a document, in bytes; the service gives
// out no more.
const maxDocument = 20 << 20

// withDocument puts a document's text below the line that is its caption.
func (s *Service) withDocument(ctx context.Context, m *models.Message, text string) (string, error) {
	if m.Document.FileSize > maxDocument {
		return text, nil
	}
	f, err := s.api.GetFile(ctx, &tg.GetFileParams{FileID: m.Document.FileID})
	if err != nil {
		s.cfg.Log.Warn("a document could not be fetched", "err", s.hide(err))
		return text, nil //nolint:nilerr // the line itself is answered: it asks for what is missing
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodGet, s.api.FileDownloadLink(f), nil)
	if err != nil {
		return text, s.hide(err)
	}
	resp, err := s.gate.client.Do(req)
	if err != nil {
		s.cfg.Log.Warn("a document could not be fetched", "err", s.hide(err))
		return text, nil //nolint:nilerr // as above
	}
	defer resp.Body.Close()
	body, err := io.ReadAll(io.LimitReader(resp.Body, maxDocument))
	if err != nil || resp.StatusCode != http.StatusOK || !utf8.Valid(body) {
		s.cfg.Log.Warn("a document could not be read as text", "status", resp.StatusCode)
		return text, nil //nolint:nilerr // as above
	}
	return text + "\n" + string(body), nil
}
