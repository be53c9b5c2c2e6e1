package telegram

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"net/url"
	"os"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"yardbell/bot/outbox"
	"yardbell/handlers/picture"
	"yardbell/storage"
)

// target is the number of a chat.
func target(to storage.Chat) int64 {
	if to.Alone != "" {
		return chatID(to.Alone)
	}
	return chatID(to.Chat)
}

// origin is where the line that a message answers stands in the chat to which it
// goes: a group that has become another has other numbers.
func origin(to storage.Chat, p storage.Posted) ext {
	e := parseExt(p.Ext)
	if e.chat != target(to) {
		e.message, e.thread = 0, 0
	}
	return e
}

// skip are the messages that a chat shows in another form: the group sees a board in
// place of a ring for each person, and what a press wrote is told with the press.
func skip(to storage.Chat, p storage.Posted) bool {
	return p.Message.Kind == storage.KindRing && to.Alone == "" || p.Message.Quiet && parseExt(p.Ext).kind == "c"
}

// reactions is how many steps of a message come before its text: one where a record
// is acknowledged on the line that made it.
func reactions(p storage.Posted) int {
	if p.Message.Quiet && p.Ext != "" {
		return 1
	}
	return 0
}

// free are the steps that the service does not count against a chat's limit.
func free(_ storage.Chat, p storage.Posted) bool { return p.Step < reactions(p) }

// send hands the next step of a message to the service: the reaction, a part of its
// text, a file.
func (s *Service) send(_ context.Context, to storage.Chat, p storage.Posted) (more bool, err error) {
	ctx, stop := context.WithTimeout(s.hard, 30*time.Second) // a message in hand is finished when the service is asked to stop
	defer stop()
	if p.Step < reactions(p) {
		return s.react(ctx, to, p)
	}
	if p.Message.Kind == storage.KindBoard {
		return s.board(ctx, to, p)
	}
	texts := len(parts(p.Message, true))
	i := p.Step - reactions(p)
	more = i+1 < texts+len(p.Message.Files)
	if i < texts {
		return more, s.text(ctx, to, p, i)
	}
	return more, s.file(ctx, to, p, p.Message.Files[i-texts])
}

// errBad is a message that the service finds fault with.
var errBad = errors.New("bad request")

// keepCopy notes from which household a message of a private chat is, and which
// rings it tells: the person may be of several, and may answer it.
func (s *Service) keepCopy(ctx context.Context, to storage.Chat, m *models.Message, p storage.Posted) {
	if m.Chat.ID < 0 {
		return
	}
	err := s.do(context.WithoutCancel(ctx), func(tx *storage.Tx) error {
		return tx.SetShown(to.Household, chatName(m.Chat.ID), copyKey(p.Message.Rings), m.ID)
	})
	if err != nil {
		s.cfg.Log.Error("the number of a message could not be kept", "message", p.ID, "err", err)
	}
}

// failed turns an error of the service into what the outbox acts by.
func (s *Service) failed(ctx context.Context, to storage.Chat, err error) error {
	var many *tg.TooManyRequestsError
	var moved *tg.MigrateError
	var network *url.Error
	switch {
	case err == nil:
		return nil
	case errors.As(err, &many):
		return outbox.Wait{For: time.Duration(max(many.RetryAfter, 1)) * time.Second}
	case errors.As(err, &moved):
		err := s.do(ctx, func(tx *storage.Tx) error { return tx.MoveChat(to.Chat, chatName(int64(moved.MigrateToChatID))) })
		if errors.Is(err, storage.ErrTaken) {
			return outbox.Refused{Reason: err.Error()}
		}
		if err != nil {
			return err
		}
		return outbox.Wait{For: time.Millisecond}
	case errors.Is(err, tg.ErrorForbidden):
		return outbox.Refused{Reason: "not in that chat any more"}
	case errors.Is(err, tg.ErrorNotFound):
		return outbox.Refused{Reason: "not found"}
	case errors.Is(err, errTooLarge):
		return outbox.Refused{Reason: "too large"}
	case errors.Is(err, tg.ErrorUnauthorized):
		s.giveUp(ErrToken)
		return outbox.Broken{Err: ErrToken}
	case errors.Is(err, tg.ErrorBadRequest):
		return errors.Join(errBad, s.hide(err))
	case errors.As(err, &network), errors.Is(err, errCutShort):
		return outbox.Silence{Err: s.hide(err)}
	}
	return s.hide(err)
}

// form is how a message is sent.
type form struct {
	thread int
	marked bool
}

// call makes a call in the form that it should have. Where the service finds fault
// with it, it is made without the topic, which may be gone, and then as plain text;
// after that the message is set aside.
func (s *Service) call(ctx context.Context, to storage.Chat, thread int, do func(form) error) error {
	forms := []form{{thread, true}, {0, true}, {0, false}}
	if thread == 0 {
		forms = forms[1:]
	}
	var err error
	for _, f := range forms {
		if err = s.failed(ctx, to, do(f)); !errors.Is(err, errBad) {
			return err
		}
	}
	return outbox.Refused{Reason: err.Error()}
}

// react acknowledges a record on the message that made it; where that cannot be, it
// is said in words.
func (s *Service) react(ctx context.Context, to storage.Chat, p storage.Posted) (words bool, err error) {
	e := origin(to, p)
	if e.message == 0 {
		return true, nil
	}
	_, err = s.api.SetMessageReaction(ctx, &tg.SetMessageReactionParams{
		ChatID: target(to), MessageID: e.message,
		Reaction: []models.ReactionType{{Type: models.ReactionTypeTypeEmoji, ReactionTypeEmoji: &models.ReactionTypeEmoji{Type: models.ReactionTypeTypeEmoji, Emoji: "👍"}}},
	})
	if err = s.failed(ctx, to, err); errors.Is(err, errBad) {
		return true, nil
	}
	return false, err
}

// text sends a part of a message's text; buttons hang on the last.
func (s *Service) text(ctx context.Context, to storage.Chat, p storage.Posted, i int) error {
	e := origin(to, p)
	var reply *models.ReplyParameters
	if i == 0 && e.message != 0 && e.kind != "c" {
		reply = &models.ReplyParameters{MessageID: e.message, AllowSendingWithoutReply: true}
	}
	return s.call(ctx, to, e.thread, func(f form) error {
		all := parts(p.Message, f.marked)
		params, err := s.params(ctx, to, all[i], f, buttonsIf(i == len(all)-1, p.Message))
		if err != nil {
			return err
		}
		params.ReplyParameters = reply
		m, err := s.api.SendMessage(ctx, params)
		if err == nil {
			s.keepCopy(ctx, to, m, p)
		}
		return err
	})
}

func buttonsIf(wanted bool, m storage.Message) []storage.Button {
	if wanted {
		return m.Buttons
	}
	return nil
}

func (s *Service) params(ctx context.Context, to storage.Chat, text string, f form, buttons []storage.Button) (*tg.SendMessageParams, error) {
	markup, err := s.keyboard(ctx, to.Household, buttons)
	if err != nil {
		return nil, err
	}
	params := &tg.SendMessageParams{ChatID: target(to), MessageThreadID: f.thread, Text: text, LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: tg.True()}}
	if f.marked {
		params.ParseMode = models.ParseModeHTML
	}
	if markup != nil {
		params.ReplyMarkup = markup
	}
	return params, nil
}

func (s *Service) file(ctx context.Context, to storage.Chat, p storage.Posted, file storage.File) error {
	content, err := contentOf(file)
	if errors.Is(err, os.ErrNotExist) { // a backup that has given way to newer ones since
		return nil
	}
	if err != nil {
		return fmt.Errorf("make %s: %w", file.Name, err)
	}
	return s.call(ctx, to, origin(to, p).thread, func(f form) (err error) {
		upload := &models.InputFileUpload{Filename: file.Name, Data: bytes.NewReader(content)}
		if strings.HasPrefix(file.Type, "image/") {
			_, err = s.api.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: target(to), MessageThreadID: f.thread, Photo: upload})
		} else {
			_, err = s.api.SendDocument(ctx, &tg.SendDocumentParams{ChatID: target(to), MessageThreadID: f.thread, Document: upload})
		}
		return err
	})
}

// contentOf draws or reads what is left until it is sent.
func contentOf(file storage.File) ([]byte, error) {
	if file.Copy != "" {
		return storage.ReadCopy(file.Copy)
	}
	return picture.Content(file.Content, file.Drawing)
}

// board shows the rings of an instant, or changes the message that shows them. One
// too long for a message is told in full once; its first part is what changes.
func (s *Service) board(ctx context.Context, to storage.Chat, p storage.Posted) (more bool, err error) {
	all := len(parts(p.Message, true))
	if p.Step == 0 {
		shown, ok, err := s.shown(ctx, to.Household, target(to), p.Message.Key)
		if err != nil {
			return false, err
		}
		if ok {
			if there, err := s.redraw(ctx, to, p, shown); there || err != nil {
				return false, err
			}
		}
	}
	err = s.call(ctx, to, 0, func(f form) error {
		params, err := s.params(ctx, to, parts(p.Message, f.marked)[p.Step], f, buttonsIf(p.Step == 0, p.Message))
		if err != nil {
			return err
		}
		m, err := s.api.SendMessage(ctx, params)
		if err != nil || p.Step > 0 {
			return err
		}
		return s.do(context.WithoutCancel(ctx), func(tx *storage.Tx) error {
			return tx.SetShown(to.Household, chatName(target(to)), p.Message.Key, m.ID)
		})
	})
	return p.Step+1 < all, err
}

// redraw changes the message that shows a board, and reports whether that is still
// there. Of one that is gone the answers have been told; what is open is shown anew.
func (s *Service) redraw(ctx context.Context, to storage.Chat, p storage.Posted, shown int) (there bool, err error) {
	markup, err := s.keyboard(ctx, to.Household, p.Message.Buttons)
	if err != nil {
		return false, err
	}
	params := &tg.EditMessageTextParams{ChatID: target(to), MessageID: shown, Text: parts(p.Message, true)[0], ParseMode: models.ParseModeHTML}
	if markup != nil {
		params.ReplyMarkup = markup
	}
	_, err = s.api.EditMessageText(ctx, params)
	if err = s.failed(ctx, to, err); errors.Is(err, errBad) {
		return strings.Contains(err.Error(), "not modified") || len(p.Message.Buttons) == 0, nil
	}
	return true, err
}

func (s *Service) shown(ctx context.Context, household, chat int64, key string) (message int, ok bool, err error) {
	err = s.do(ctx, func(tx *storage.Tx) (err error) {
		message, ok, err = tx.Shown(household, chatName(chat), key)
		return err
	})
	return message, ok, err
}

// keyboard makes the buttons of a message. A line that is longer than the service
// takes with a button is kept in the file, and its number sent.
func (s *Service) keyboard(ctx context.Context, household int64, buttons []storage.Button) (models.ReplyMarkup, error) {
	return keyboard(buttons, func(b storage.Button) (data string, err error) {
		if len(b.Say) <= maxCallback && !strings.HasPrefix(b.Say, "#") {
			return b.Say, nil
		}
		err = s.do(ctx, func(tx *storage.Tx) error {
			id, err := tx.Press(household, b.Say)
			data = "#" + itoa(id)
			return err
		})
		return data, err
	})
}

// joined is the kind of an ext that stands for several lines.
const joined = "j"

// merge joins small answers that wait for the same topic of a chat, when the limit is
// near. The buttons of what was done are let go of then: each is a line that can be
// typed. A question keeps its own. Where one record could not be acknowledged by a
// reaction, those after it are said in words too.
func merge(a, b storage.Posted) (storage.Posted, bool) {
	from, other := parseExt(a.Ext), parseExt(b.Ext)
	inWords := a.Step == reactions(a) && (a.Message.Quiet || !b.Message.Quiet)
	if !inWords || from.thread != other.thread || from.chat != other.chat || !small(a) || !small(b) {
		return a, false
	}
	out := a
	out.Ext, out.Message.Buttons = ext{kind: joined, chat: from.chat, thread: from.thread}.String(), nil
	if from.kind != joined {
		out.Message.Head = a.Message.To + ": " + a.Message.Head
	}
	out.Message.Lines = append([]string{}, a.Message.Lines...)
	out.Message.Lines = append(out.Message.Lines, b.Message.To+": "+b.Message.Head)
	out.Message.Lines = append(out.Message.Lines, b.Message.Lines...)
	out.Message.Assumed = append(append([]string{}, a.Message.Assumed...), b.Message.Assumed...)
	out.Message.Cautions = append(append([]string{}, a.Message.Cautions...), b.Message.Cautions...)
	return out, len(parts(out.Message, true)) == 1
}

// small is an answer that can be joined with others, of which no part has been told.
func small(p storage.Posted) bool {
	m := p.Message
	return m.Kind == storage.KindReply && !skip(storage.Chat{}, p) && p.Step <= reactions(p) && (len(m.Buttons) == 0 || m.Status == storage.OK) && len(m.Files) == 0
}
