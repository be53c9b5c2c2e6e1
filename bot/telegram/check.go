package telegram

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"strings"
	"time"

	tg "github.com/go-telegram/bot"

	"yardbell/storage"
)

// Finding is one thing that a check of the chat found, and what to do about it.
type Finding struct {
	What   string
	OK     bool
	Said   string
	Advice string
}

// clockOff is how far the machine's clock may be from the service's.
const clockOff = 30 * time.Second

// Check asks the service about the token, the bot's rights and the clock. It says
// nothing in any chat.
func (s *Service) Check(ctx context.Context) []Finding {
	me, err := s.api.GetMe(ctx)
	switch {
	case errors.Is(err, tg.ErrorUnauthorized), errors.Is(err, tg.ErrorNotFound):
		return []Finding{{"token", false, "the service does not know it", "get a token from BotFather, and set YARDBELL_TOKEN or YARDBELL_TOKEN_FILE"}}
	case err != nil:
		return []Finding{{"service", false, "it cannot be reached: " + s.hide(err).Error(), "look at this machine's network; lines typed meanwhile are kept by the service for a day"}}
	}
	out := []Finding{{"token", true, "serves as @" + me.Username, ""}}
	privacy := Finding{"privacy", me.CanReadAllGroupMessages, "plain lines in groups are seen", ""}
	if !me.CanReadAllGroupMessages {
		privacy.Said, privacy.Advice = "plain lines in groups are hidden from the bot", "ask BotFather for /setprivacy, choose Disable, and add the bot to the group again"
	}
	return append(append(out, privacy, s.checkClock(ctx)), s.checkChats(ctx, me.ID)...)
}

func (s *Service) checkClock(ctx context.Context) Finding {
	f := Finding{What: "clock", OK: true, Said: "agrees with the service's"}
	url := s.cfg.APIURL
	if url == "" {
		url = "https://api.telegram.org"
	}
	req, err := http.NewRequestWithContext(ctx, http.MethodHead, url, http.NoBody)
	if err != nil {
		return f
	}
	resp, err := s.gate.client.Do(req)
	if err != nil {
		return f
	}
	resp.Body.Close()
	theirs, err := http.ParseTime(resp.Header.Get("Date"))
	if off := s.cfg.Now().Sub(theirs); err == nil && off.Abs() > clockOff {
		return Finding{"clock", false, fmt.Sprintf("is %s off the service's", off.Round(time.Second)), "let the machine set its clock by the network: bells ring by it"}
	}
	return f
}

// checkChats looks whether the bot is in each household's group.
func (s *Service) checkChats(ctx context.Context, me int64) []Finding {
	var chats []string
	if err := s.do(ctx, func(tx *storage.Tx) error {
		ids, err := tx.Households()
		if err != nil {
			return err
		}
		for _, id := range ids {
			h, err := tx.Household(id)
			if err != nil {
				return err
			}
			if Serves(h.Chat) {
				chats = append(chats, h.Chat)
			}
		}
		return nil
	}); err != nil {
		return []Finding{{"chats", false, err.Error(), "see the log"}}
	}
	if len(chats) == 0 {
		return []Finding{{"chat", false, "no group has joined yet", "start yardbell serve and type the house key that it prints in the group"}}
	}
	var out []Finding
	for _, c := range chats {
		_, err := s.api.GetChatMember(ctx, &tg.GetChatMemberParams{ChatID: chatID(c), UserID: me})
		f := Finding{"chat", err == nil, "the bot is in the household's group", ""}
		if err != nil {
			f.Said, f.Advice = "the bot is not in the household's group: "+strings.TrimSpace(s.hide(err).Error()), "add it to the group again; the records are here"
		}
		out = append(out, f)
	}
	return out
}
