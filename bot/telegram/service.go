// Package telegram is the household's chat in Telegram, over the Bot API: it
// takes lines in, each once and in order, and hands out what the outbox holds. It
// knows chats, accounts and messages, and nothing of what the lines mean.
package telegram

import (
	"context"
	"errors"
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"strings"
	"sync"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"

	"yardbell/bot/outbox"
	"yardbell/handlers"
	"yardbell/storage"
)

// Config is what a service runs with.
type Config struct {
	Token   string
	APIURL  string // another Bot API server; empty for the usual one
	Zone    string // of this machine, for a household that is founded here
	Store   *storage.Store
	Roster  *handlers.Roster
	Log     *slog.Logger
	Now     func() time.Time
	OnLine  func()                        // called after each line: a bell may be due earlier now
	Poll    time.Duration                 // how long one call waits for updates; 0 for the usual 50 s
	Limits  func(group bool) outbox.Limit // nil for the service's published limits
	Overall outbox.Limit
	Retry   time.Duration // the wait after a first error; 0 for a second
}

// The published limits: about 20 messages a minute in a group, one a second to a
// person, 30 a second in all.
var (
	groupLimit   = outbox.Limit{Every: 6 * time.Second, Burst: 10} // never more than 20 in a minute
	personLimit  = outbox.Limit{Every: time.Second, Burst: 5}
	overallLimit = outbox.Limit{Every: time.Second / 30, Burst: 30}
)

// Service is a running chat.
type Service struct {
	cfg     Config
	api     *tg.Bot
	gate    *gate
	me      models.User
	keys    *keyGuard
	kick    chan struct{}
	wanted  chan struct{} // a file is to be fetched
	telling sync.Mutex    // OnLine is called once at a time
	fatal   chan error
	sender  *outbox.Sender
	others  conflicts
	busy    sync.WaitGroup  // courtesies that are on their way
	hook    *webhook        // nil when updates are asked for
	hard    context.Context //nolint:containedctx // ends a while after the service is asked to stop
}

// allowed are the updates that are asked for.
var allowed = []string{"message", "edited_message", "callback_query", "my_chat_member"}

// prefix marks the chats of this service in the file.
const prefix = "tg:"

func chatName(id int64) string { return prefix + strconv.FormatInt(id, 10) }

// Serves reports a chat of this service.
func Serves(chat string) bool { return strings.HasPrefix(chat, prefix) }

func chatID(name string) int64 {
	id, _ := strconv.ParseInt(strings.TrimPrefix(name, prefix), 10, 64)
	return id
}

func itoa(n int64) string { return strconv.FormatInt(n, 10) }

// New makes a service. It does not reach for the network yet.
func New(cfg Config) (*Service, error) {
	if cfg.Poll == 0 {
		cfg.Poll = 50 * time.Second
	}
	if cfg.OnLine == nil {
		cfg.OnLine = func() {}
	}
	if cfg.Retry == 0 {
		cfg.Retry = time.Second
	}
	if cfg.Limits == nil {
		cfg.Limits, cfg.Overall = published, overallLimit
	}
	s := &Service{
		cfg: cfg, gate: newGate(&http.Client{Timeout: cfg.Poll + 20*time.Second}), keys: newKeyGuard(),
		kick: make(chan struct{}, 1), wanted: make(chan struct{}, 1), fatal: make(chan error, 1), hard: context.Background(),
	}
	options := []tg.Option{
		tg.WithSkipGetMe(), tg.WithNotAsyncHandlers(), tg.WithWorkers(1), tg.WithUpdatesChannelCap(0),
		tg.WithHTTPClient(cfg.Poll+time.Second, s.gate), tg.WithErrorsHandler(s.pollFailed),
		tg.WithAllowedUpdates(allowed),
		tg.WithDefaultHandler(func(ctx context.Context, _ *tg.Bot, u *models.Update) { s.take(ctx, u) }),
	}
	if cfg.APIURL != "" {
		options = append(options, tg.WithServerURL(cfg.APIURL))
	}
	api, err := tg.New(cfg.Token, options...)
	if err != nil {
		return nil, s.hide(err)
	}
	s.api = api
	pace := func(to storage.Chat) outbox.Limit { return cfg.Limits(to.Alone == "") }
	s.sender = outbox.NewSender(cfg.Store, outbox.Transport{Send: s.send, Serves: Serves, Skip: skip, Apart: true, Merge: merge, Free: free, FirstWait: cfg.Retry, Pace: pace, All: cfg.Overall}, cfg.Log)
	return s, nil
}

func published(group bool) outbox.Limit {
	if group {
		return groupLimit
	}
	return personLimit
}

// hidden is an error whose text does not tell the token.
type hidden struct {
	err  error
	text string
}

func (h hidden) Error() string { return h.text }
func (h hidden) Unwrap() error { return h.err }

// hide takes the token out of an error's text.
func (s *Service) hide(err error) error {
	if err == nil {
		return nil
	}
	return hidden{err, strings.ReplaceAll(err.Error(), s.cfg.Token, "***")}
}

// ErrToken is returned by Run when the service does not know the token.
var ErrToken = errors.New("the service does not know this token; get one from BotFather, and set YARDBELL_TOKEN or YARDBELL_TOKEN_FILE")

// ErrOther is returned by Run when another program serves the same token.
var ErrOther = errors.New("another program takes the messages of this token; stop it, or use another token")

// Run serves until the context ends, or until it cannot: a wrong token, another
// program on the same one.
func (s *Service) Run(ctx context.Context) error {
	if err := s.introduce(ctx); err != nil {
		return err
	}
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	hard, end := context.WithCancel(context.WithoutCancel(ctx))
	defer end()
	s.hard = hard
	defer context.AfterFunc(ctx, func() { time.AfterFunc(inHand, end) })()
	sending := make(chan struct{})
	go func() { defer close(sending); s.sender.Run(ctx, s.kick, s.cfg.Now) }()
	s.busy.Go(func() { s.fetchLoop(ctx) })
	polling := make(chan struct{})
	go func() { defer close(polling); s.receive(ctx) }()
	var failed error
	select {
	case <-ctx.Done():
	case failed = <-s.fatal:
		stop()
	}
	<-polling
	<-sending
	defer time.AfterFunc(polite, end).Stop()
	s.busy.Wait()
	return failed
}

const (
	// inHand is how long what is in hand may take when the service is asked to stop.
	inHand = 4 * time.Second
	// polite is how long courtesies are waited for then, when all else is done.
	polite = time.Second / 2
)

// introduce asks the service who the bot is, and tells it the commands.
func (s *Service) introduce(ctx context.Context) error {
	err := s.insist(ctx, "the service cannot be reached yet", func() error {
		me, err := s.api.GetMe(ctx)
		if err == nil {
			s.me = *me
		}
		return err
	})
	if err != nil || ctx.Err() != nil {
		return err
	}
	s.cfg.Log.Info("serving", "bot", s.me.Username)
	if err := s.tellCommands(ctx); err != nil {
		s.cfg.Log.Warn("the command list could not be set", "err", s.hide(err))
	}
	return nil
}

// insist makes a call that nothing works without, until the service takes it. A call
// that it will never take is an error; the end of the context is none.
func (s *Service) insist(ctx context.Context, otherwise string, call func() error) error {
	for wait := s.cfg.Retry; ; wait = min(2*wait, time.Minute) {
		err := call()
		switch {
		case err == nil || ctx.Err() != nil:
			return nil
		case errors.Is(err, tg.ErrorUnauthorized), errors.Is(err, tg.ErrorNotFound):
			return ErrToken
		case errors.Is(err, tg.ErrorBadRequest):
			return s.hide(err)
		}
		s.cfg.Log.Warn(otherwise, "err", s.hide(err))
		select {
		case <-ctx.Done():
			return nil
		case <-time.After(wait):
		}
	}
}

// listed are the commands of the day's most use, which the chat shows by itself.
var listed = []string{"today", "bells", "ring", "done", "later", "batch", "scale", "help"}

func (s *Service) tellCommands(ctx context.Context) error {
	var commands []models.BotCommand
	for _, name := range listed {
		if about := s.cfg.Roster.About(name); about != "" {
			commands = append(commands, models.BotCommand{Command: name, Description: about})
		}
	}
	_, err := s.api.SetMyCommands(ctx, &tg.SetMyCommandsParams{Commands: commands, Scope: &models.BotCommandScopeAllGroupChats{}})
	return err
}

// pollFailed hears of errors of the library's own loop.
func (s *Service) pollFailed(err error) {
	switch {
	case errors.Is(err, tg.ErrorUnauthorized):
		s.giveUp(ErrToken)
	case errors.Is(err, tg.ErrorConflict) && s.others.lasts(s.cfg.Now()):
		s.giveUp(ErrOther)
	default:
		s.cfg.Log.Warn("updates could not be fetched; it is tried again", "err", s.hide(err))
	}
}

// conflicts are the times at which the service said that another program asks for
// the same updates. One such word may be about a call of our own that it has not
// noticed the end of; two programs hear it again and again.
type conflicts struct{ first, latest time.Time }

const (
	apart   = 20 * time.Second // conflicts further apart than this have nothing to do with each other
	lasting = 30 * time.Second // how long they go on when it is another program
)

// lasts notes a conflict and reports whether they last.
func (c *conflicts) lasts(now time.Time) bool {
	if now.Sub(c.latest) > apart {
		c.first = now
	}
	c.latest = now
	return now.Sub(c.first) >= lasting
}

func (s *Service) giveUp(err error) {
	select {
	case s.fatal <- err:
	default:
	}
}

// Kick lets the outbox be looked at: rings may wait.
func (s *Service) Kick() {
	select {
	case s.kick <- struct{}{}:
	default:
	}
}

// take takes one update into the file. Until it has, no more are fetched; a fault
// of the disk is waited out, and what is not taken comes again after a restart.
func (s *Service) take(ctx context.Context, u *models.Update) {
	for wait := 100 * time.Millisecond; ; wait = min(2*wait, 5*time.Second) {
		err := s.taken(ctx, u)
		if err == nil {
			s.gate.done()
			return
		}
		s.cfg.Log.Error("an update could not be taken; it is tried again", "update", u.ID, "err", s.hide(err))
		select {
		case <-ctx.Done():
			return
		case <-time.After(wait):
		}
	}
}

func (s *Service) taken(ctx context.Context, u *models.Update) error {
	return s.guarded(u.ID, func() error {
		switch {
		case u.Message != nil:
			return s.message(ctx, u.Message, false)
		case u.EditedMessage != nil:
			return s.message(ctx, u.EditedMessage, true)
		case u.CallbackQuery != nil:
			return s.pressed(ctx, u.CallbackQuery)
		case u.MyChatMember != nil:
			return s.member(ctx, u.MyChatMember)
		}
		return nil
	})
}

// guarded does what came in under a number. What cannot be handled, now or later,
// must not stop the rest: it is logged and passed over.
func (s *Service) guarded(number int64, do func() error) (err error) {
	defer func() {
		if p := recover(); p != nil {
			s.cfg.Log.Error("what came in could not be handled and is passed over", "number", number, "panic", fmt.Sprint(p), "stack", string(debug.Stack()))
			err = nil
		}
	}()
	if err = do(); storage.Lasting(err) {
		s.cfg.Log.Error("what came in could not be handled and is passed over", "number", number, "err", s.hide(err))
		return nil
	}
	return err
}
