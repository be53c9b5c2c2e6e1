package telegram

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"net"
	"net/http"
	"sync"
	"time"

	tg "github.com/go-telegram/bot"
	"github.com/go-telegram/bot/models"
)

// maxUpdate is the most that is read of one update, in bytes.
const maxUpdate = 1 << 20

// webhook serves the updates that the service brings to an address, for those who
// host it, in place of asking for them.
type webhook struct {
	url, listen, secret string
	one                 sync.Mutex // one update at a time, in the order in which they come
}

// UseWebhook lets the service bring its updates to a public address; they are
// taken in at a local one, behind whatever ends TLS.
func (s *Service) UseWebhook(url, listen string) error {
	b := make([]byte, 24)
	if _, err := rand.Read(b); err != nil {
		return err
	}
	s.hook = &webhook{url: url, listen: listen, secret: hex.EncodeToString(b)}
	return nil
}

// receive takes updates until the context ends: asked for, or brought.
func (s *Service) receive(ctx context.Context) {
	take := s.poll
	if s.hook != nil {
		take = s.listen
	}
	if err := take(ctx); err != nil && ctx.Err() == nil {
		s.giveUp(s.hide(err))
	}
}

func (s *Service) poll(ctx context.Context) error {
	err := s.insist(ctx, "an earlier webhook could not be taken off yet", func() error {
		_, err := s.api.DeleteWebhook(ctx, &tg.DeleteWebhookParams{})
		return err
	})
	if err != nil {
		return err
	}
	s.api.Start(ctx)
	return nil
}

func (s *Service) listen(ctx context.Context) error {
	ln, err := (&net.ListenConfig{}).Listen(ctx, "tcp", s.hook.listen)
	if err != nil {
		return err
	}
	server := &http.Server{Handler: s.hookHandler(), ReadHeaderTimeout: 10 * time.Second, ReadTimeout: 20 * time.Second}
	go func() {
		<-ctx.Done()
		end, stop := context.WithTimeout(context.Background(), inHand)
		defer stop()
		_ = server.Shutdown(end) // what is in hand is finished
	}()
	err = s.insist(ctx, "the webhook could not be set yet", func() error {
		_, err := s.api.SetWebhook(ctx, &tg.SetWebhookParams{URL: s.hook.url, SecretToken: s.hook.secret, MaxConnections: 1, AllowedUpdates: allowed})
		return err
	})
	if err != nil {
		ln.Close()
		return err
	}
	if err := server.Serve(ln); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// hookHandler answers the service only when an update is in the file; on any
// other answer it is brought again.
func (s *Service) hookHandler() http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		given := r.Header.Get("X-Telegram-Bot-Api-Secret-Token")
		if r.Method != http.MethodPost || subtle.ConstantTimeCompare([]byte(given), []byte(s.hook.secret)) != 1 {
			http.NotFound(w, r)
			return
		}
		body, err := io.ReadAll(http.MaxBytesReader(w, r.Body, maxUpdate))
		if err != nil {
			http.Error(w, "too much", http.StatusRequestEntityTooLarge)
			return
		}
		var u models.Update
		if err := json.Unmarshal(body, &u); err != nil {
			return // it will not be read better the next time
		}
		s.hook.one.Lock()
		defer s.hook.one.Unlock()
		if err := s.taken(r.Context(), &u); err != nil {
			s.cfg.Log.Error("an update could not be taken", "update", u.ID, "err", s.hide(err))
			http.Error(w, "not now", http.StatusServiceUnavailable)
		}
	})
}
