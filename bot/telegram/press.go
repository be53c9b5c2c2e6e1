package telegram

import (
	"context"
	"strconv"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"yardbell/storage"
)

// pressedMark is the data of a button that shows what was pressed and does nothing.
const pressedMark = "-"

// pressed takes a pressed button in, which is the same as typing its line. The
// same button of the same message acts once.
func (s *Service) pressed(ctx context.Context, q *models.CallbackQuery) error {
	m := q.Message.Message
	if q.Data == pressedMark || q.Data == "" || m == nil {
		s.answer(ctx, q, "")
		return nil
	}
	house, ok, err := s.household(ctx, m.Chat, &q.From)
	if err != nil {
		return err
	}
	if !ok {
		s.answer(ctx, q, "")
		return nil
	}
	if strings.HasPrefix(q.Data, tieMark) {
		return s.tie(ctx, house, q, m)
	}
	say, err := s.lineOf(ctx, house, q.Data)
	if err != nil {
		return err
	}
	if say == "" { // forged, or a number that is not in the file
		s.answer(ctx, q, "")
		return nil
	}
	e := ext{kind: "c", chat: m.Chat.ID, message: m.ID, thread: m.MessageThreadID, more: q.Data}
	h := s.heard(house, e, say)
	h.Button = true
	line, err := s.hear(ctx, h)
	if err != nil {
		return err
	}
	return s.showPressed(ctx, house, q, m, line)
}

// lineOf returns the line of a button from its data.
func (s *Service) lineOf(ctx context.Context, h house, data string) (say string, err error) {
	id, err := strconv.ParseInt(strings.TrimPrefix(data, "#"), 10, 64)
	if !strings.HasPrefix(data, "#") || err != nil {
		return data, nil //nolint:nilerr // the line itself
	}
	err = s.do(ctx, func(tx *storage.Tx) error {
		say, _, err = tx.Pressed(h.id, id)
		return err
	})
	return say, err
}

// showPressed answers the press at once and marks the button, unless the message
// is a board, which is drawn anew as a whole.
func (s *Service) showPressed(ctx context.Context, h house, q *models.CallbackQuery, m *models.Message, line int64) error {
	toast, board := "Pressed already.", false
	err := s.do(ctx, func(tx *storage.Tx) (err error) {
		if _, board, err = tx.ShownKey(h.id, m.ID); err != nil || line == 0 {
			return err
		}
		toast = ""
		replies, err := tx.Replies(line)
		for _, p := range replies {
			if p.Message.Quiet {
				toast = p.Message.Head
			}
		}
		return err
	})
	if err != nil {
		return err
	}
	s.answer(ctx, q, toast)
	if line != 0 && !board {
		s.mark(ctx, h, m, q.Data)
	}
	return nil
}

// besides is how long a call may take that is not waited for.
const besides = 10 * time.Second

// answer tells the service that a press was taken. It is not waited for: the next
// update must not wait for the network.
func (s *Service) answer(ctx context.Context, q *models.CallbackQuery, toast string) {
	if r := []rune(toast); len(r) > 190 {
		toast = string(r[:189]) + "…"
	}
	s.beside(ctx, func(ctx context.Context) error {
		_, err := s.api.AnswerCallbackQuery(ctx, &tg.AnswerCallbackQueryParams{CallbackQueryID: q.ID, Text: toast})
		return err
	})
}

// mark leaves of a message's buttons the one that was pressed, with a tick, when the
// chat's limit allows.
func (s *Service) mark(ctx context.Context, h house, m *models.Message, data string) {
	label := ""
	if m.ReplyMarkup != nil {
		for _, row := range m.ReplyMarkup.InlineKeyboard {
			for _, b := range row {
				if b.CallbackData == data {
					label = b.Text
				}
			}
		}
	}
	if label == "" || !s.sender.Spare(storage.Chat{Household: h.id, Alone: alone(m.Chat.ID)}, s.cfg.Now()) {
		return
	}
	s.beside(ctx, func(ctx context.Context) error {
		_, err := s.api.EditMessageReplyMarkup(ctx, &tg.EditMessageReplyMarkupParams{
			ChatID: m.Chat.ID, MessageID: m.ID,
			ReplyMarkup: &models.InlineKeyboardMarkup{InlineKeyboard: [][]models.InlineKeyboardButton{{{Text: "✓ " + label, CallbackData: pressedMark}}}},
		})
		return err
	})
}

// beside does what may fail without harm, next to the work.
func (s *Service) beside(ctx context.Context, do func(context.Context) error) {
	s.busy.Go(func() {
		ctx, stop := context.WithTimeout(context.WithoutCancel(ctx), besides)
		defer stop()
		defer context.AfterFunc(s.hard, stop)()
		if err := do(ctx); err != nil {
			s.cfg.Log.Debug("a courtesy to the chat failed", "err", s.hide(err))
		}
	})
}

// tie makes an account somebody's, on a keeper's word.
func (s *Service) tie(ctx context.Context, house house, q *models.CallbackQuery, m *models.Message) error {
	who, person, ok := strings.Cut(strings.TrimPrefix(q.Data, tieMark), ":")
	person, shared := strings.CutPrefix(person, sharedMark)
	id, err := strconv.ParseInt(person, 10, 64)
	if !ok || err != nil {
		s.answer(ctx, q, "")
		return nil //nolint:nilerr // forged
	}
	toast, name := "Only a keeper can say that.", ""
	err = s.do(ctx, func(tx *storage.Tx) error {
		people, err := tx.People(house.id)
		if err != nil {
			return err
		}
		by, tied, err := tx.AccountOf(house.id, account(&q.From))
		if err != nil || !tied || by.Shared || !isKeeper(people, by.Person) {
			return err
		}
		for _, p := range people {
			if p.ID == id && !p.Gone {
				name = p.Name
			}
		}
		if name == "" {
			toast = "That person is not in the household any more."
			return nil
		}
		toast = "Tied."
		if _, err := tx.Record(storage.Entry{
			Household: house.id, Person: by.Person, Happened: s.cfg.Now(), Written: s.cfg.Now(), Kind: "house", About: "person:" + name, Text: tiedText(name, shared), Fixed: true,
		}); err != nil {
			return err
		}
		if err := tx.TieAccount(house.id, id, chatName(atoi(who))); err != nil {
			return err
		}
		if shared {
			if err := tx.ShareAccount(house.id, chatName(atoi(who))); err != nil {
				return err
			}
			return tx.Post(house.id, 0, storage.Message{At: s.cfg.Now(), Kind: storage.KindNotice, Head: "That account is the tablet for everyone now. Begin a line with your name: Pim: done"})
		}
		return tx.Post(house.id, 0, storage.Message{At: s.cfg.Now(), Kind: storage.KindNotice, Head: name + " is known by that account now. A private chat with me works for it too."})
	})
	if err != nil {
		return err
	}
	s.answer(ctx, q, toast)
	if name != "" {
		s.mark(ctx, house, m, q.Data)
	}
	s.Kick()
	return nil
}

func tiedText(name string, shared bool) string {
	if shared {
		return "made an account the tablet for everyone"
	}
	return "tied an account to " + name
}

func isKeeper(people []storage.Person, id int64) bool {
	for _, p := range people {
		if p.ID == id {
			return p.Keeper && !p.Gone
		}
	}
	return false
}

func atoi(s string) int64 {
	n, _ := strconv.ParseInt(s, 10, 64)
	return n
}
