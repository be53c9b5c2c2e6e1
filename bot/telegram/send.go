package telegram

import (
	"bytes"
	"context"
	"errors"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"yardbell/bot/outbox"
	"yardbell/storage"
)

// send hands one message of the outbox to the service.
func (s *Service) send(_ context.Context, to storage.Chat, p storage.Posted) error {
	e := parseExt(p.Ext)
	target := chatID(to.Chat)
	if e.chat != 0 && e.chat > 0 { // a private chat is answered there
		target = e.chat
	}
	ctx, stop := context.WithTimeout(s.hard, 30*time.Second) // a message in hand is finished when the service is asked to stop
	defer stop()
	if p.Message.Kind == storage.KindRing {
		return s.copy(ctx, to, p)
	}
	if p.Message.Quiet && e.kind == "c" {
		return nil // told with the press
	}
	if p.Message.Quiet && e.kind != "" {
		done, err := s.react(ctx, to, target, e)
		if done || err != nil {
			return err
		}
	}
	if p.Message.Kind == storage.KindBoard {
		return s.board(ctx, to, target, p)
	}
	err := s.text(ctx, to, target, e, p, true)
	if errors.Is(err, errBad) { // once more as plain text; then it is set aside
		err = s.text(ctx, to, target, e, p, false)
	}
	if errors.Is(err, errBad) {
		return outbox.Refused{Reason: err.Error()}
	}
	return err
}

// copy tells a ring to those who have a chat of their own; the group sees the
// board.
func (s *Service) copy(ctx context.Context, to storage.Chat, p storage.Posted) error {
	account := ""
	err := s.do(ctx, func(tx *storage.Tx) (err error) {
		account, err = tx.PrivateOf(to.Household, p.Message.To)
		return err
	})
	if err != nil || account == "" {
		return err
	}
	err = s.text(ctx, to, chatID(account), ext{}, p, true)
	if errors.Is(err, errBad) {
		return outbox.Refused{Reason: err.Error()}
	}
	return err
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
	case errors.Is(err, tg.ErrorUnauthorized):
		s.giveUp(ErrToken)
		return outbox.Broken{Err: ErrToken}
	case errors.Is(err, tg.ErrorBadRequest):
		return errors.Join(errBad, s.hide(err))
	}
	return s.hide(err)
}

// react acknowledges a record on the message that made it; where the chat allows
// no reactions it is said in words.
func (s *Service) react(ctx context.Context, to storage.Chat, target int64, e ext) (done bool, err error) {
	_, err = s.api.SetMessageReaction(ctx, &tg.SetMessageReactionParams{
		ChatID: target, MessageID: e.message,
		Reaction: []models.ReactionType{{Type: models.ReactionTypeTypeEmoji, ReactionTypeEmoji: &models.ReactionTypeEmoji{Type: models.ReactionTypeTypeEmoji, Emoji: "👍"}}},
	})
	if err = s.failed(ctx, to, err); errors.Is(err, errBad) {
		return false, nil
	}
	return err == nil, err
}

// text sends a message, in parts where it is long, and what hangs on it.
func (s *Service) text(ctx context.Context, to storage.Chat, target int64, e ext, p storage.Posted, marked bool) error {
	markup, err := s.keyboard(ctx, to.Household, p.Message.Buttons)
	if err != nil {
		return err
	}
	all := parts(p.Message, marked)
	for i := s.sent[p.ID]; i < len(all); i++ {
		params := &tg.SendMessageParams{ChatID: target, MessageThreadID: e.thread, Text: all[i], LinkPreviewOptions: &models.LinkPreviewOptions{IsDisabled: tg.True()}}
		if marked {
			params.ParseMode = models.ParseModeHTML
		}
		if i == 0 && (e.kind == "m" || e.kind == "e") {
			params.ReplyParameters = &models.ReplyParameters{MessageID: e.message, AllowSendingWithoutReply: true}
		}
		if i == len(all)-1 && markup != nil {
			params.ReplyMarkup = markup
		}
		m, err := s.api.SendMessage(ctx, params)
		if err != nil {
			return s.failed(ctx, to, err)
		}
		s.sent[p.ID] = i + 1
		s.keepCopy(ctx, to, m, p)
	}
	if err := s.files(ctx, to, target, e, p.Message.Files); err != nil {
		return err
	}
	delete(s.sent, p.ID)
	return nil
}

func (s *Service) files(ctx context.Context, to storage.Chat, target int64, e ext, files []storage.File) error {
	for _, f := range files {
		upload := &models.InputFileUpload{Filename: f.Name, Data: bytes.NewReader(f.Content)}
		var err error
		if strings.HasPrefix(f.Type, "image/") {
			_, err = s.api.SendPhoto(ctx, &tg.SendPhotoParams{ChatID: target, MessageThreadID: e.thread, Photo: upload})
		} else {
			_, err = s.api.SendDocument(ctx, &tg.SendDocumentParams{ChatID: target, MessageThreadID: e.thread, Document: upload})
		}
		if err != nil {
			return s.failed(ctx, to, err)
		}
	}
	return nil
}

// board shows the rings of an instant, or changes the message that shows them.
func (s *Service) board(ctx context.Context, to storage.Chat, target int64, p storage.Posted) error {
	markup, err := s.keyboard(ctx, to.Household, p.Message.Buttons)
	if err != nil {
		return err
	}
	all := parts(p.Message, true)
	shown, ok, err := s.shown(ctx, to.Household, target, p.Message.Key)
	if err != nil {
		return err
	}
	if ok {
		params := &tg.EditMessageTextParams{ChatID: target, MessageID: shown, Text: all[0], ParseMode: models.ParseModeHTML}
		if markup != nil {
			params.ReplyMarkup = markup
		}
		_, err := s.api.EditMessageText(ctx, params)
		err = s.failed(ctx, to, err)
		if !errors.Is(err, errBad) || strings.Contains(err.Error(), "not modified") || len(p.Message.Buttons) == 0 {
			return notBad(err) // of a board that is gone the answers have been told; what is open is shown anew
		}
	}
	params := &tg.SendMessageParams{ChatID: target, Text: all[0], ParseMode: models.ParseModeHTML}
	if markup != nil {
		params.ReplyMarkup = markup
	}
	m, err := s.api.SendMessage(ctx, params)
	if err != nil && errors.Is(s.failed(ctx, to, err), errBad) {
		params.Text, params.ParseMode = parts(p.Message, false)[0], ""
		m, err = s.api.SendMessage(ctx, params)
	}
	if err = s.failed(ctx, to, err); err != nil {
		if errors.Is(err, errBad) {
			return outbox.Refused{Reason: err.Error()}
		}
		return err
	}
	if err := s.do(context.WithoutCancel(ctx), func(tx *storage.Tx) error { return tx.SetShown(to.Household, chatName(target), p.Message.Key, m.ID) }); err != nil {
		return err
	}
	for _, more := range all[1:] { // a board this long is told in full once; its first part is what changes
		if _, err := s.api.SendMessage(ctx, &tg.SendMessageParams{ChatID: target, Text: more, ParseMode: models.ParseModeHTML}); err != nil {
			s.cfg.Log.Warn("a part of a long board could not be sent", "err", s.hide(err))
		}
	}
	return nil
}

// notBad passes over what the service finds fault with.
func notBad(err error) error {
	if errors.Is(err, errBad) {
		return nil
	}
	return err
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

// free are the messages that the service does not count against a group's limit:
// reactions, what was told with a press, and what goes to a chat of one person.
func free(p storage.Posted) bool {
	return p.Message.Quiet && p.Ext != "" || p.Message.Kind == storage.KindRing
}

// merge joins small answers that wait for the same chat, when the limit is near.
// The buttons of what was done are let go of then: each is a line that can be
// typed. A question keeps its own.
func merge(a, b storage.Posted) (storage.Posted, bool) {
	small := func(p storage.Posted) bool {
		m := p.Message
		return m.Kind == storage.KindReply && !m.Quiet && (len(m.Buttons) == 0 || m.Status == storage.OK) && len(m.Files) == 0 && parseExt(p.Ext).chat <= 0
	}
	if !small(a) || !small(b) || units(a.Message.Text())+units(b.Message.Text()) > maxText-100 {
		return a, false
	}
	out := a
	out.Ext, out.Message.Buttons = "", nil
	if a.Ext != "" {
		out.Message.Head = a.Message.To + ": " + a.Message.Head
	}
	out.Message.Lines = append([]string{}, a.Message.Lines...)
	out.Message.Lines = append(out.Message.Lines, b.Message.To+": "+b.Message.Head)
	out.Message.Lines = append(out.Message.Lines, b.Message.Lines...)
	out.Message.Assumed = append(append([]string{}, a.Message.Assumed...), b.Message.Assumed...)
	out.Message.Cautions = append(append([]string{}, a.Message.Cautions...), b.Message.Cautions...)
	return out, true
}
