package storage

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestWhatWaitedBefore: what waits in a file of an earlier version goes where it was
// to go: an answer to where its line was typed, a ring to its person's own chat.
func TestWhatWaitedBefore(t *testing.T) {
	s := fromVersion(t, 7,
		`INSERT INTO household (id, chat, founded) VALUES (1, 'tg:-5', 0)`,
		`INSERT INTO person (id, household, name, role) VALUES (1, 1, 'Maren', 'keeper')`,
		`INSERT INTO account (household, person, account, private) VALUES (1, 1, 'tg:11', 1)`,
		`INSERT INTO inbox (id, household, transport, ext, name, at, text) VALUES (1, 1, 'telegram', 'm:11:7:0:', 'Maren', 1, 'who'), (2, 1, 'telegram', 'm:-5:8:0:', 'Maren', 1, 'who'), (3, 1, 'terminal', '9:1', 'Maren', 1, 'who')`,
		`INSERT INTO outbox (id, household, inbox, at, body) VALUES (1, 1, 1, 1, '{"kind":"reply"}'), (2, 1, 2, 1, '{"kind":"reply"}'), (3, 1, 3, 1, '{"kind":"reply"}'),
			(4, 1, NULL, 1, '{"kind":"ring","to":"Maren"}'), (5, 1, NULL, 1, '{"kind":"ring","to":"Ivo"}'), (6, 1, NULL, 1, '{"kind":"board"}')`,
	)
	require.NoError(t, s.Do(context.Background(), func(tx *Tx) error {
		waiting, err := tx.Waiting()
		require.NoError(t, err)
		require.Equal(t, []Chat{{1, "tg:-5", ""}, {1, "tg:-5", "tg:11"}}, waiting)
		alone, err := tx.UnsentTo(waiting[1], 10)
		require.NoError(t, err)
		require.Len(t, alone, 2)
		require.Equal(t, []int64{1, 4}, []int64{alone[0].ID, alone[1].ID})
		return err
	}))
}

// TestWhereAMessageGoes: an answer goes to where its line was typed; what is told to
// the household goes to everybody, also when the line that caused it was typed alone.
func TestWhereAMessageGoes(t *testing.T) {
	s, err := Open(context.Background(), Memory)
	require.NoError(t, err)
	defer s.Close()
	now := time.Unix(1_800_000_000, 0)
	require.NoError(t, s.Do(context.Background(), func(tx *Tx) error {
		_, err := tx.Found("tg:-5", "UTC", "Maren", now)
		require.NoError(t, err)
		line, _, err := tx.Claim(1, Line{Transport: "telegram", Ext: "1", Chat: "tg:11", Name: "Maren", At: now})
		require.NoError(t, err)
		require.NoError(t, tx.Post(1, line, Message{At: now, Kind: KindReply, Head: "answer"}))
		require.NoError(t, tx.Post(1, line, Message{At: now, Kind: KindNotice, Head: "roped off"}))
		for alone, want := range map[string]string{"tg:11": "answer", "": "roped off"} {
			got, err := tx.UnsentTo(Chat{Household: 1, Alone: alone}, 10)
			require.NoError(t, err)
			require.Len(t, got, 1)
			require.Equal(t, want, got[0].Message.Head)
		}
		return nil
	}))
}

// TestWhoIsAnsweredFirst: people of the household, in whatever letters the chat has their
// name, go before guests and who has gone; so does an answer that is posted later.
func TestWhoIsAnsweredFirst(t *testing.T) {
	s, err := Open(context.Background(), Memory)
	require.NoError(t, err)
	defer s.Close()
	now := time.Unix(1_800_000_000, 0)
	do := func(fn func(tx *Tx)) {
		require.NoError(t, s.Do(context.Background(), func(tx *Tx) error { fn(tx); return nil }))
	}
	do(func(tx *Tx) {
		_, err := tx.Found("tg:-5", "UTC", "Maren", now)
		require.NoError(t, err)
		tom, err := tx.AddPerson(Person{Household: 1, Name: "Tom"})
		require.NoError(t, err)
		require.NoError(t, tx.RemovePerson(tom))
	})
	for ext, c := range map[string]struct {
		name  string
		later bool
		want  Rank
	}{"1": {"Maren", false, RankReply}, "2": {"maren", false, RankReply}, "3": {"Ruth", false, RankGuest}, "4": {"Tom", false, RankGuest}, "5": {"maren", true, RankReply}, "6": {"Ruth", true, RankGuest}} {
		var line int64
		do(func(tx *Tx) {
			line, _, err = tx.Claim(1, Line{Transport: "telegram", Ext: ext, Name: c.name, At: now})
			require.NoError(t, err)
			if !c.later {
				require.NoError(t, tx.Post(1, line, Message{At: now, Kind: KindReply, Head: "answer"}))
			}
		})
		do(func(tx *Tx) {
			if c.later {
				require.NoError(t, tx.Post(1, line, Message{At: now, Kind: KindReply, Head: "answer"}))
			}
			got, err := tx.Replies(line)
			require.NoError(t, err)
			require.Len(t, got, 1)
			require.Equal(t, c.want, got[0].Rank, c.name)
		})
	}
}
