package reminders_test

import (
	"context"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// crew are three people who do chores.
func crew() []storage.Person {
	return []storage.Person{{ID: 4, Name: "Ivo", Share: 100}, {ID: 5, Name: "Lise", Share: 100}, {ID: 6, Name: "Pim", Share: 100}}
}

func choreBell(whom string, times ...string) storage.Bell {
	b := storage.Bell{Title: "sweep", Subject: "chore:1", Whom: whom, Useful: reminders.UsefulOnce}
	var specs []string
	for _, at := range times {
		specs = append(specs, reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall(at)}.Spec())
	}
	b.Schedule = reminders.Several(specs...)
	b.Next = wall(times[0])
	return b
}

func calledTo(t *testing.T, h reminders.House, b storage.Bell, days int) string {
	t.Helper()
	planned, err := h.Rehearse([]storage.Bell{b}, b.Next.Add(-time.Second), b.Next.AddDate(0, 0, days).Add(-time.Second))
	require.NoError(t, err)
	out := ""
	for _, p := range planned {
		require.Len(t, p.To, 1)
		out += p.To[0].Name[:1]
	}
	return out
}

func home(people ...storage.Person) reminders.House {
	return reminders.House{Household: storage.Household{Zone: time.UTC, Rounds: [2]storage.Minutes{420, 960}, Evening: -1}, People: people}
}

// TestSlotsGoRound: two people who take turns twice a day do not keep the morning
// and the evening, where the order goes on by one at the turn of each week; a plain
// order keeps them.
func TestSlotsGoRound(t *testing.T) {
	b := choreBell(reminders.InTurn(4, 5), "2027-03-01 07:00", "2027-03-01 18:00")
	require.Equal(t, "ILILILILILILIL"+"ILILILILILILIL", calledTo(t, home(crew()...), b, 14))
	b.Whom = reminders.InTurnBy(1, 4, 5)
	require.Equal(t, "ILILILILILILIL"+"LILILILILILILI"+"ILILILILILILIL", calledTo(t, home(crew()...), b, 21))
}

// TestOneTradeDoesNotMoveTheOrder: an occurrence that somebody has taken is theirs,
// and the order goes on as written.
func TestOneTradeDoesNotMoveTheOrder(t *testing.T) {
	b := choreBell(reminders.InTurn(4, 5, 6), "2027-03-01 19:00")
	b.Swaps = b.Swaps.With(wall("2027-03-01 19:00"), 5).With(wall("2027-03-02 19:00"), 4)
	require.Equal(t, "LIPILP", calledTo(t, home(crew()...), b, 6))
}

// TestDaysOffAndBirthdays: a turn passes by somebody who has the day off, and a day
// of rest is nobody's turn.
func TestDaysOffAndBirthdays(t *testing.T) {
	people := crew()
	people[1].Birthday = "03-02"
	people[2].Off = storage.DaySet{{From: wall("2027-03-02 00:00"), To: wall("2027-03-02 00:00")}}
	b := choreBell(reminders.InTurn(4, 5, 6), "2027-03-01 19:00")
	require.Equal(t, "IILPIL", calledTo(t, home(people...), b, 6))
	b.Rest = b.Rest.With(storage.Days{From: wall("2027-03-03 00:00"), To: wall("2027-03-04 00:00")})
	require.Equal(t, "IILP", calledTo(t, home(people...), b, 6))
}

// TestLeastDoneIsCalled: the account decides, goes on as if what is called were
// done, and two chores of one minute do not go to the same person.
func TestLeastDoneIsCalled(t *testing.T) {
	h := home(crew()...)
	all := []storage.Share{{Person: 4, Percent: 100}, {Person: 5, Percent: 100}, {Person: 6, Percent: 100}}
	h.Works = []storage.Work{{Chore: 1, Effort: 30, Doers: []int64{4}, Free: all}, {Chore: 1, Effort: 30, Doers: []int64{5}, Free: all}}
	b := choreBell(reminders.ByLeast(4, 5, 6), "2027-03-01 19:00")
	require.Equal(t, "PILPIL", calledTo(t, h, b, 6))
	other := choreBell(reminders.ByLeast(4, 5, 6), "2027-03-01 19:00")
	other.Subject = "chore:2"
	planned, err := h.Rehearse([]storage.Bell{b, other}, b.Next.Add(-time.Second), b.Next)
	require.NoError(t, err)
	require.Len(t, planned, 2)
	require.NotEqual(t, planned[0].To, planned[1].To)
	people := crew()
	people[2].Share = 0
	h.People = people
	require.Equal(t, "ILILIL", calledTo(t, h, b, 6), "nothing is asked of Pim")
}

// TestAMonthByLeastDone plays the engine itself: each ring is done by whoever is
// called, one is away for a week, and nobody is ever ahead of another by more than
// one chore.
func TestAMonthByLeastDone(t *testing.T) {
	ctx := context.Background()
	s, err := storage.Open(ctx, t.TempDir()+"/house.db")
	require.NoError(t, err)
	defer s.Close()
	start := wall("2027-03-01 06:00")
	done := map[int64]int{}
	require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
		id, err := tx.Found("home", "UTC", "Maren", start)
		require.NoError(t, err)
		for _, name := range []string{"Ivo", "Lise", "Pim"} {
			_, err := tx.AddPerson(storage.Person{Household: id, Name: name})
			require.NoError(t, err)
		}
		for n, minutes := range []int{15, 40} {
			c, err := tx.AddChore(storage.Chore{Household: id, Name: "chore", Minutes: minutes, How: storage.ChoreLeast, Made: start})
			require.NoError(t, err)
			b := choreBell(reminders.ByLeast(2, 3, 4), []string{"2027-03-01 07:00", "2027-03-01 19:00"}[n])
			b.Household, b.Subject, b.Made = id, c.Subject(), start
			_, err = tx.AddBell(b)
			require.NoError(t, err)
		}
		return tx.AddAbsence(storage.Absence{Household: id, Person: 3, Kind: storage.Away, Since: wall("2027-03-08 00:00"), Until: wall("2027-03-15 00:00")})
	}))
	for now := start; now.Before(start.AddDate(0, 0, 28)); now = now.Add(time.Hour) {
		require.NoError(t, s.Do(ctx, func(tx *storage.Tx) error {
			_, err := reminders.Tick(tx, now)
			require.NoError(t, err)
			open, err := tx.OpenRings(1)
			require.NoError(t, err)
			for _, g := range open {
				b, _, err := tx.Bell(g.Bell)
				require.NoError(t, err)
				h, err := reminders.Load(tx, 1, now)
				require.NoError(t, err)
				who := reminders.Expand(g.Whom, h.People, now)
				require.Len(t, who, 1)
				_, gone := h.Absent(who[0].ID, now)
				require.False(t, gone)
				w := storage.Work{Household: 1, Chore: 1, Ring: g.ID, Due: g.Due, At: now, Effort: 15, Doers: []int64{who[0].ID}}
				if b.Subject == "chore:2" {
					w.Chore, w.Effort = 2, 40
				}
				for _, p := range h.People[1:] {
					if _, gone := h.Absent(p.ID, now); !gone {
						w.Free = append(w.Free, storage.Share{Person: p.ID, Percent: p.Share})
					}
				}
				require.NoError(t, tx.AddWork(w))
				g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, storage.AnswerDone, now, who[0].ID
				require.NoError(t, tx.SaveRing(g))
				done[who[0].ID] += w.Effort
			}
			return nil
		}))
	}
	require.Len(t, done, 3)
	require.Equal(t, 28*55, done[2]+done[3]+done[4])
	require.LessOrEqual(t, max(done[2], done[4])-min(done[2], done[4]), 40, "two who were always there")
	require.InDelta(t, float64(done[2])-7*55/2.0, float64(done[3]), 40, "and one who was away comes back with no debt")
	require.Less(t, done[3], done[2])
}
