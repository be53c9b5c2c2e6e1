package telegram

import (
	"context"
	"encoding/json"
	"log/slog"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/go-telegram/bot/models"
	"github.com/stretchr/testify/require"

	"yardbell/bot/telegram/apiserver"
	"yardbell/handlers"
	"yardbell/storage"
)

// loud keeps what is logged of an update that could not be handled.
type loud struct{ said atomic.Value }

func (l *loud) Write(b []byte) (int, error) {
	if strings.Contains(string(b), "passed over") {
		l.said.Store(string(b))
	}
	return len(b), nil
}

// FuzzUpdate takes updates of any shape: none makes the service fall over, and
// none is refused for good, which would stop all others.
func FuzzUpdate(f *testing.F) {
	for _, seed := range []string{
		`{"update_id":1,"message":{"message_id":1,"date":1,"chat":{"id":-5,"type":"supergroup"},"from":{"id":1,"first_name":"Maren"},"text":"/note x","entities":[{"type":"bot_command","offset":0,"length":5}]}}`,
		`{"update_id":2,"message":{"message_id":1,"chat":{"id":-5},"from":{"id":1},"text":"🐔 /done@yardbell","entities":[{"type":"bot_command","offset":3,"length":900},{"type":"mention","offset":-1,"length":2}]}}`,
		`{"update_id":3,"callback_query":{"id":"q","from":{"id":1},"data":"tie:1:1","message":{"message_id":1,"date":0,"chat":{"id":-5}}}}`,
		`{"update_id":4,"callback_query":{"id":"q","from":{"id":1},"data":"#99","message":{"message_id":1,"date":5,"chat":{"id":-5,"type":"supergroup"}}}}`,
		`{"update_id":5,"edited_message":{"message_id":1,"chat":{"id":-5,"type":"supergroup"},"from":{"id":1},"text":"/undo"}}`,
		`{"update_id":6,"my_chat_member":{"chat":{"id":-6,"type":"group"},"from":{"id":1},"date":1,"old_chat_member":{"status":"left","user":{"id":7}},"new_chat_member":{"status":"member","user":{"id":7}}}}`,
		`{"update_id":7,"message":{"message_id":2,"chat":{"id":-5,"type":"supergroup"},"from":{"id":1},"location":{"latitude":1e308,"longitude":-1}}}`,
		`{"update_id":8,"message":{"message_id":3,"chat":{"id":-5},"migrate_to_chat_id":-5}}`,
		`{"update_id":9,"message":{"message_id":4,"chat":{"id":-5},"migrate_to_chat_id":-7}}`,
		`{"update_id":10,"callback_query":{"id":"q","from":{"id":1},"data":"done 1","message":{"message_id":1,"date":0,"chat":{"id":1,"type":"private"}}}}`,
		`{"update_id":11,"message":{"message_id":5,"chat":{"id":-5,"type":"supergroup"},"from":{"id":9,"is_bot":true},"sender_chat":{"id":-5},"text":"/house join x"}}`,
		`{"update_id":12,"message":{"message_id":6,"chat":{"id":-5,"type":"supergroup"},"from":{"id":1},"caption":"/recipe Soup\n1 egg","document":{"file_id":"f","file_size":-1}}}`,
		`{"update_id":13,"message":{"message_id":7,"chat":{"id":1,"type":"private"},"from":{"id":1},"text":"done","reply_to_message":{"message_id":1,"chat":{"id":1},"from":{"id":0}}}}`,
	} {
		f.Add([]byte(seed))
	}
	log := &loud{}
	service := fuzzed(f, log)
	f.Fuzz(func(t *testing.T, body []byte) {
		_, _ = readable(append(append([]byte(`{"ok":true,"result":[`), body...), "]}"...))
		var u models.Update
		if json.Unmarshal(body, &u) != nil {
			return
		}
		require.NoError(t, service.taken(context.Background(), &u))
		service.busy.Wait()
		if said := log.said.Load(); said != nil {
			t.Fatal(said)
		}
	})
}

// fuzzed is a service in the groups -5, with a keeper whose account is 1, and -7.
func fuzzed(f *testing.F, log *loud) *Service {
	f.Helper()
	api := apiserver.New()
	f.Cleanup(api.Close)
	s, err := storage.Open(context.Background(), storage.Memory)
	require.NoError(f, err)
	f.Cleanup(func() { s.Close() })
	logger := slog.New(slog.NewTextHandler(log, nil))
	service, err := New(Config{Token: api.Token, APIURL: api.HTTP.URL, Zone: "UTC", Store: s, Roster: handlers.NewRoster(logger), Log: logger, Now: func() time.Time { return time.Unix(1_800_000_000, 0) }})
	require.NoError(f, err)
	require.NoError(f, s.Do(context.Background(), func(tx *storage.Tx) error {
		for _, chat := range []string{"tg:-5", "tg:-7"} {
			_, err := tx.Found(chat, "UTC", "Maren", time.Unix(1_700_000_000, 0))
			require.NoError(f, err)
		}
		return tx.TieAccount(1, 1, "tg:1")
	}))
	return service
}
