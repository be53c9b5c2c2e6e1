package telegram

import (
	"context"
	"slices"
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
	m := pressedOn(q)
	if q.Data == pressedMark || q.Data == "" || m == nil {
		s.answer(ctx, q, "")
		return nil
	}
	house, ok, err := s.household(ctx, m.Chat, &q.From, m.ID)
	if err != nil {
		return err
	}
	if !ok {
		s.answer(ctx, q, "")
		return nil
	}
	if house.others {
		s.answer(ctx, q, "You are in more than one household: press it in the group of the one you mean.")
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
	press := ext{kind: "c", chat: m.Chat.ID, message: m.ID, thread: topic(m), more: q.ID}
	button := press
	button.more = q.Data
	h := s.heard(house, press, say)
	h.Button = button.String()
	line, err := s.hear(ctx, h)
	if err != nil {
		return err
	}
	return s.showPressed(ctx, house, q, m, line)
}

// pressedOn returns the message whose button was pressed. Of one that the service
// no longer shows only its number and its chat are known, which is enough.
func pressedOn(q *models.CallbackQuery) *models.Message {
	if old := q.Message.InaccessibleMessage; old != nil {
		return &models.Message{ID: old.MessageID, Chat: old.Chat}
	}
	return q.Message.Message
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

// showPressed answers the press at once. A button whose press acted is marked,
// unless the message is a board, which is drawn anew as a whole.
func (s *Service) showPressed(ctx context.Context, h house, q *models.CallbackQuery, m *models.Message, line int64) error {
	toast, board, acted := "Pressed already.", false, false
	err := s.do(ctx, func(tx *storage.Tx) error {
		key, _, err := tx.ShownKey(h.id, chatName(m.Chat.ID), m.ID)
		board = key != "" && !strings.HasPrefix(key, copyMark)
		if err != nil || line == 0 {
			return err
		}
		toast = ""
		replies, err := tx.Replies(line)
		for _, p := range replies {
			acted = acted || p.Message.Status == storage.OK
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
	if acted && !board {
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

// claimed is what a keeper's button says: an account is somebody's, or everyone's.
type claimed struct {
	account string
	person  int64
	shared  bool
}

func parseClaimed(data string) (t claimed, ok bool) {
	who, person, ok := strings.Cut(strings.TrimPrefix(data, tieMark), ":")
	person, t.shared = strings.CutPrefix(person, sharedMark)
	id, err := strconv.ParseInt(person, 10, 64)
	t.account, t.person = chatName(atoi(who)), id
	return t, ok && err == nil
}

// tie makes an account somebody's, on a keeper's word.
func (s *Service) tie(ctx context.Context, h house, q *models.CallbackQuery, m *models.Message) error {
	t, ok := parseClaimed(q.Data)
	if !ok { // forged
		s.answer(ctx, q, "")
		return nil
	}
	why := ""
	err := s.do(ctx, func(tx *storage.Tx) (err error) {
		by, name, no, err := mayTie(tx, h.id, account(&q.From), t)
		if why = no; err != nil || no != "" {
			return err
		}
		return s.writeTied(tx, h.id, by, t, name)
	})
	if err != nil {
		return err
	}
	if why != "" {
		s.answer(ctx, q, why)
		return nil
	}
	s.answer(ctx, q, "Tied.")
	s.mark(ctx, h, m, q.Data)
	s.Kick()
	return nil
}

// mayTie returns the keeper who ties an account and the name of the person, or why
// that cannot be.
func mayTie(tx *storage.Tx, household int64, presser string, t claimed) (by int64, name, why string, err error) {
	people, err := tx.People(household)
	if err != nil {
		return 0, "", "", err
	}
	keepers, err := tx.KeeperAccounts(household)
	if err != nil {
		return 0, "", "", err
	}
	known, is, err := tx.AccountOf(household, t.account)
	if err != nil {
		return 0, "", "", err
	}
	for _, k := range keepers {
		if k.Name == presser {
			by = k.Person
		}
	}
	for _, p := range people {
		if p.ID == t.person && !p.Gone {
			name = p.Name
		}
	}
	switch {
	case by == 0:
		why = "Only a keeper can say that."
	case name == "":
		why = "That person is not in the household any more."
	case is && known.Shared == t.shared && (t.shared || known.Person == t.person):
		why = "It is tied already."
	default:
		why = lockedOut(people, keepers, presser, t)
	}
	return by, name, why, nil
}

// lockedOut says why a tie would leave the household without a keeper who can
// speak, or would be a keeper's word on themselves; empty when neither.
func lockedOut(people []storage.Person, keepers []storage.Account, presser string, t claimed) string {
	others := slices.DeleteFunc(slices.Clone(keepers), func(a storage.Account) bool { return a.Name == t.account })
	switch {
	case len(others) == 0 && (t.shared || !isKeeper(people, t.person)):
		return "This is the only keeper's account: nobody could change anything here any more. Tie another keeper's first."
	case len(others) > 0 && presser == t.account:
		return "This is your own account: another keeper presses."
	}
	return ""
}

// writeTied ties an account, writes it down and tells the household.
func (s *Service) writeTied(tx *storage.Tx, household, by int64, t claimed, name string) error {
	now := s.cfg.Now()
	text, told := "tied an account to "+name, name+" is known by that account now. A private chat with me works for it too."
	if t.shared {
		text, told = "made an account the tablet for everyone", "That account is the tablet for everyone now. Begin a line with your name: Pim: done"
	}
	if _, err := tx.Record(storage.Entry{
		Household: household, Person: by, Happened: now, Written: now, Kind: "house", About: "person:" + name, Text: text, Fixed: true,
	}); err != nil {
		return err
	}
	if err := tx.TieAccount(household, t.person, t.account); err != nil {
		return err
	}
	if t.shared {
		if err := tx.ShareAccount(household, t.account); err != nil {
			return err
		}
	}
	return tx.Post(household, 0, storage.Message{At: now, Kind: storage.KindNotice, Head: told})
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
