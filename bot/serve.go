package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"yardbell/bot/telegram"
	"yardbell/storage"
)

type serveCmd struct {
	Webhook string `placeholder:"URL" help:"The public https address to which the service brings its updates, instead of being asked for them."`
	Listen  string `placeholder:"ADDR" default:"127.0.0.1:8443" help:"Where updates for --webhook are taken in."`
}

// Run serves the household's chat in Telegram until the program is asked to stop.
func (c *serveCmd) Run(a *app) (err error) {
	token, err := readToken()
	if err != nil {
		return err
	}
	s, err := a.open()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	if err := s.offerKey(); err != nil {
		return err
	}
	var ringer *clock
	cfg := s.serviceConfig(token)
	cfg.OnLine = func() { ringer.wake() }
	service, err := telegram.New(cfg)
	if err != nil {
		return err
	}
	if c.Webhook != "" {
		if !strings.HasPrefix(c.Webhook, "https://") {
			return usageError{"--webhook is an https address that reaches this machine"}
		}
		if err := service.UseWebhook(c.Webhook, c.Listen); err != nil {
			return err
		}
	}
	// What is in hand when the program is asked to stop is finished: the clock and
	// the file outlive the service.
	ringer = startClock(context.WithoutCancel(a.ctx), s, func(time.Time) error { service.Kick(); return nil })
	defer ringer.stop()
	return service.Run(a.ctx)
}

func (s *session) serviceConfig(token string) telegram.Config {
	return telegram.Config{
		Token: token, APIURL: strings.TrimRight(os.Getenv("YARDBELL_API_URL"), "/"), Zone: machineZone(), Store: s.store, Roster: s.roster, Log: s.app.log, Now: s.now,
	}
}

// readToken returns the bot's token from the environment, or from the file that
// a service manager hands it in. It is never a flag: flags are seen by everybody
// on the machine.
func readToken() (string, error) {
	token := os.Getenv("YARDBELL_TOKEN")
	if path := os.Getenv("YARDBELL_TOKEN_FILE"); token == "" && path != "" {
		b, err := os.ReadFile(path)
		if err != nil {
			return "", usageError{fmt.Sprintf("the token file cannot be read: %v", err)}
		}
		token = string(b)
	}
	token = strings.TrimSpace(token)
	switch {
	case token == "":
		return "", usageError{"set YARDBELL_TOKEN to the bot's token, or YARDBELL_TOKEN_FILE to a file that holds it; BotFather gives one in Telegram"}
	case !strings.Contains(token, ":") || strings.ContainsAny(token, " /\n"):
		return "", usageError{"that is not a bot's token: it looks like 123456789:AbCdEf"}
	}
	return token, nil
}

// offerKey prints a house key while no household has its chat yet.
func (s *session) offerKey() error {
	if telegram.Serves(s.chat) {
		return nil
	}
	key := os.Getenv("YARDBELL_HOUSE_KEY")
	if key != "" {
		return s.keepKey(key, true)
	}
	key, err := telegram.NewKey()
	if err != nil {
		return err
	}
	if err := s.keepKey(key, true); err != nil {
		return err
	}
	fmt.Fprintf(s.app.out, "House key: %s\nIn the household's group, with the bot in it, type: /house join %s\n", key, key)
	return nil
}

// keepKey keeps a house key. Own is for the household that has lived in the
// terminal so far, where there is one.
func (s *session) keepKey(key string, own bool) error {
	return s.store.Do(s.app.ctx, func(tx *storage.Tx) error { return tx.AddKey(telegram.Hash(key), own, s.now()) })
}

type keyCmd struct{}

// Run prints another house key, for another household's group.
func (c *keyCmd) Run(a *app) (err error) {
	s, err := a.open()
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, s.store.Close()) }()
	key, err := telegram.NewKey()
	if err != nil {
		return err
	}
	if err := s.keepKey(key, false); err != nil {
		return err
	}
	_, err = fmt.Fprintf(a.out, "House key: %s\nIn a household's group, with the bot in it, type: /house join %s\n", key, key)
	return err
}
