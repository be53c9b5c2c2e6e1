package reminders_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// TestWithinAMinuteIsOneMessage: rings of one person less than a minute apart are
// one message, at the time of the first; another person's, and a safety bell,
// keep their time.
func TestWithinAMinuteIsOneMessage(t *testing.T) {
	r := newRinger(t)
	first := at("2027-03-01 09:00")
	r.bell(storage.Bell{Title: "feed the hens", Next: first})
	r.bell(storage.Bell{Title: "shut the gate", Next: first.Add(59 * time.Second)})
	r.bell(storage.Bell{Title: "look at the oven", Next: first.Add(30 * time.Second), Safety: true, Whom: reminders.Keepers})
	r.bell(storage.Bell{Title: "phone the vet", Next: first.Add(40 * time.Second), Whom: reminders.People(r.ids["Maren"])})
	r.bell(storage.Bell{Title: "fetch the post", Next: first.Add(2 * time.Minute)})
	require.Equal(t, []string{
		"01 09:00 Ivo: 2 things now\nFeed the hens (6)\nShut the gate (7)",
		"01 09:00 Maren: 2 things now\nLook at the oven (8)\nPhone the vet (9)",
		"01 09:02 Ivo: Fetch the post (10)",
	}, r.play("2027-03-01 06:00", "2027-03-01 09:05"))
}

// TestReleasedGroupedMostUrgentFirst: what the quiet hours held back comes as one
// message a person, first what makes no sense any more soonest.
func TestReleasedGroupedMostUrgentFirst(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetQuiet, "21:00-06:30")) })
	r.bell(storage.Bell{Title: "write to the aunt", Next: at("2027-03-01 22:00")})
	r.bell(storage.Bell{Title: "let the dog out", Next: at("2027-03-02 05:00"), Useful: 3 * time.Hour})
	r.bell(storage.Bell{Title: "bring the washing in", Next: at("2027-03-01 23:00"), Useful: time.Hour})
	said := r.play("2027-03-01 21:00", "2027-03-02 06:45")
	require.Len(t, said, 2)
	require.Equal(t, "02 06:30 Ivo: 2 things now\nLet the dog out (6). late by 1 h 30 min: due 05:00\nWrite to the aunt (4). late by 8 h 30 min: due Mon 1 Mar 22:00", said[0])
	require.Contains(t, said[1], "Missed, and too late to ring: bring the washing in (Ivo, Mon 1 Mar 23:00)")
}

// TestHeldIsLookedAtAnew: when the quiet hours are taken off, what they held rings
// at once, and what they did not hold does not.
func TestHeldIsLookedAtAnew(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetQuiet, "21:00-06:30")) })
	r.bell(storage.Bell{Title: "shut the gate", Next: at("2027-03-01 22:00")})
	later := r.bell(storage.Bell{Title: "put off", Next: at("2027-03-01 20:00")})
	r.play("2027-03-01 19:00", "2027-03-01 20:05")
	r.do(func(tx *storage.Tx) { // put off by a person until the morning
		open, err := tx.RingsOf(later.ID)
		require.NoError(t, err)
		open[0].Wake, open[0].Said = at("2027-03-02 09:00"), 0
		require.NoError(t, tx.SaveRing(open[0]))
	})
	require.Empty(t, r.play("2027-03-01 20:05", "2027-03-01 22:30"))
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetQuiet, "off")) })
	require.Equal(t, []string{"01 22:30 Ivo: Shut the gate (4)\nlate by 30 min: due 22:00"}, r.play("2027-03-01 22:30", "2027-03-01 22:40"))
}

// TestBareDay: only care and safety ring; the rest comes in the next morning
// round, and looking at it anew does not let it out early.
func TestBareDay(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetBare, "2027-03-01 2027-03-02")) })
	r.bell(storage.Bell{Title: "feed the hens", Next: at("2027-03-01 09:00"), Care: true})
	r.bell(storage.Bell{Title: "phone the bank", Next: at("2027-03-01 10:00")})
	require.Equal(t, []string{"01 09:00 Ivo: Feed the hens (3)"}, r.play("2027-03-01 06:00", "2027-03-01 09:05"))
	r.answerAll(storage.AnswerDone, at("2027-03-01 09:05"))
	require.Empty(t, r.play("2027-03-01 09:05", "2027-03-03 05:00"))
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetUnits, "us")) }) // anything that is set stirs what is held
	require.Empty(t, r.play("2027-03-03 05:00", "2027-03-03 06:59"))
	require.Equal(t, []string{"03 07:00 Ivo: Phone the bank (4)\nlate by 1 day 21 h: due Mon 1 Mar 10:00"}, r.play("2027-03-03 06:59", "2027-03-03 07:01"))
}

// TestAbsence: what cannot wait goes to others and comes back; what can waits,
// and is one list on the day of return.
func TestAbsence(t *testing.T) {
	r := newRinger(t)
	daily := func(clock string) string {
		return reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 " + clock)}.Spec()
	}
	r.bell(storage.Bell{Title: "feed the hens", Schedule: daily("08:00"), Next: at("2027-03-02 08:00"), Care: true, Useful: 24 * time.Hour})
	r.bell(storage.Bell{Title: "practise the fiddle", Schedule: daily("09:00"), Next: at("2027-03-02 09:00"), Useful: 24 * time.Hour})
	r.bell(storage.Bell{Title: "write to the aunt", Next: at("2027-03-02 09:00")})
	r.do(func(tx *storage.Tx) {
		require.NoError(t, tx.AddAbsence(storage.Absence{Household: r.house, Person: r.ids["Ivo"], Kind: storage.Away, Since: at("2027-03-02 07:00"), Until: at("2027-03-03 12:00")}))
	})
	require.Equal(t, []string{"02 08:00 Maren: Feed the hens (4)\nfor Ivo, away until Wed 3 Mar 12:00"}, r.play("2027-03-01 06:00", "2027-03-02 08:10"))
	r.answerAll(storage.AnswerDone, at("2027-03-02 08:10"))
	r.play("2027-03-02 08:10", "2027-03-03 08:10")
	r.answerAll(storage.AnswerDone, at("2027-03-03 08:10"))
	require.Equal(t, []string{
		"03 12:00 Ivo: 2 things now\nPractise the fiddle (8). late by 3 h: due 09:00\nWrite to the aunt (6). late by 1 day 3 h: due Tue 2 Mar 09:00",
	}, r.play("2027-03-03 08:10", "2027-03-03 12:10"))
	r.answerAll(storage.AnswerDone, at("2027-03-03 12:10"))
	require.Equal(t, []string{"04 08:00 Ivo: Feed the hens (9)"}, r.play("2027-03-03 12:10", "2027-03-04 08:10"))
}

// TestEverybodyAway: somebody must know of the animals.
func TestEverybodyAway(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "feed the hens", Next: at("2027-03-02 08:00"), Care: true})
	r.do(func(tx *storage.Tx) {
		for _, id := range r.ids {
			require.NoError(t, tx.AddAbsence(storage.Absence{Household: r.house, Person: id, Kind: storage.Ill, Since: at("2027-03-01 07:00")}))
		}
	})
	said := r.play("2027-03-01 06:00", "2027-03-02 08:10")
	require.Len(t, said, 1)
	require.True(t, strings.HasPrefix(said[0], "02 08:00 Maren: Feed the hens"), said[0])
}

// TestChildrenAreLeftOut: whatever a bell says, a child is not rung for what is
// never a child's; a keeper hears of it when nobody else is left.
func TestChildrenAreLeftOut(t *testing.T) {
	r := newRinger(t)
	for i, b := range []storage.Bell{
		{Title: "scythe the meadow", Whom: reminders.Everyone},
		{Title: "grease the tractors"},
		{Title: "look at the brooder's lamp", Safety: true, Whom: reminders.Kids},
		{Title: "feed the boars", Whom: reminders.InTurn(r.ids["Ivo"], r.ids["Maren"])},
	} {
		b.Next = at("2027-03-01 09:00").Add(time.Duration(i) * 2 * time.Minute)
		r.bell(b)
	}
	for _, s := range r.play("2027-03-01 06:00", "2027-03-01 09:07") {
		require.NotContains(t, s, " Ivo: ", "a child was rung")
		require.Contains(t, s, " Maren: ")
	}
}

// TestStandInIsNoChildForDangerousWork: a child who covers is passed over for
// what rings for safety.
func TestStandInIsNoChildForDangerousWork(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "the kitchen is roped off", Next: at("2027-03-02 08:00"), Safety: true, Whom: reminders.Keepers})
	r.do(func(tx *storage.Tx) {
		require.NoError(t, tx.AddAbsence(storage.Absence{Household: r.house, Person: r.ids["Maren"], Kind: storage.Away, Since: at("2027-03-01 07:00"), StandIn: r.ids["Ivo"]}))
	})
	said := r.play("2027-03-01 06:00", "2027-03-02 08:05")
	require.Len(t, said, 1)
	require.Contains(t, said[0], "Maren: The kitchen is roped off")
}

// TestBoards: a group's board is posted once an instant, a line a person, and
// again with its key when somebody has answered.
func TestBoards(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "feed the hens", Next: at("2027-03-01 07:00")})
	r.bell(storage.Bell{Title: "water the goats", Next: at("2027-03-01 07:00")})
	r.bell(storage.Bell{Title: "phone the vet", Next: at("2027-03-01 07:00"), Whom: reminders.Keepers})
	require.NoError(t, reminders.Play(ctx, r.s, at("2027-03-01 06:00"), at("2027-03-01 07:01"), func(time.Time) error { return nil }))
	first := r.boards(at("2027-03-01 07:01"))
	require.Len(t, first, 1)
	require.Equal(t, "Ivo: feed the hens (4); water the goats (5)\nThe keepers: phone the vet (6)", first[0].Text())
	r.do(func(tx *storage.Tx) {
		g, ok, err := tx.RingNumbered(r.house, 4)
		require.NoError(t, err)
		require.True(t, ok)
		g.Wake, g.Answer, g.Answered, g.AnsweredBy = time.Time{}, storage.AnswerDone, at("2027-03-01 07:03"), r.ids["Maren"]
		require.NoError(t, tx.SaveRing(g))
		require.NoError(t, reminders.Redraw(tx, r.house, at("2027-03-01 07:03")))
	})
	again := r.boards(at("2027-03-01 07:03"))
	require.Len(t, again, 1)
	require.Equal(t, first[0].Key, again[0].Key)
	require.Equal(t, "Ivo: feed the hens (4), done 07:03 by Maren; water the goats (5)\nThe keepers: phone the vet (6)", again[0].Text())
}

func (r *ringer) boards(now time.Time) []storage.Message {
	var out []storage.Message
	r.do(func(tx *storage.Tx) {
		posted, err := tx.Unsent(r.house, storage.Which{}, 100)
		require.NoError(r.t, err)
		for _, p := range posted {
			if p.Message.Kind == storage.KindBoard {
				out = append(out, p.Message)
			}
			require.NoError(r.t, tx.MarkSent(p, "", now))
		}
	})
	return out
}

// TestLadders: the household's and a bell's own.
func TestLadders(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetAgain, "10 x3")) })
	r.bell(storage.Bell{Title: "the house's", Next: at("2027-03-01 09:00")})
	r.bell(storage.Bell{Title: "rounds only", Next: at("2027-03-01 10:00"), Again: "rounds"})
	r.bell(storage.Bell{Title: "never", Next: at("2027-03-01 11:00"), Again: "never"})
	var when []string
	for _, s := range r.play("2027-03-01 08:00", "2027-03-01 18:00") {
		when = append(when, s[3:strings.Index(s, ": ")])
	}
	require.Equal(t, []string{"09:00 Ivo", "09:10 Ivo", "09:20 Ivo", "09:30 Ivo", "10:00 Ivo", "11:00 Ivo", "16:00 Ivo", "16:00 Maren"}, when)
}

// TestSafetyWithAnEnd: a safety bell whose danger has an end rings every ten minutes as
// often as its ladder says, quiet hours or not, and then in every round as long as it makes sense; never for a child.
func TestSafetyWithAnEnd(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) { require.NoError(t, tx.Set(r.house, storage.SetQuiet, "21:00-06:30")) })
	r.bell(storage.Bell{Title: "soup into the fridge", Next: at("2027-03-01 21:30"), Safety: true, Again: "10 x3", Useful: 24 * time.Hour})
	var when []string
	for _, s := range r.play("2027-03-01 21:00", "2027-03-03 18:00") {
		when = append(when, s[:strings.Index(s, ": ")])
	}
	require.Equal(t, []string{"01 21:30 Maren", "01 21:40 Maren", "01 21:50 Maren", "01 22:00 Maren", "02 07:00 Maren", "02 16:00 Maren", "02 19:30 Maren"}, when)
}

// TestResettleFollowsTheRounds: what belongs to a day is told in the new round
// from the next day on.
func TestResettleFollowsTheRounds(t *testing.T) {
	r := newRinger(t)
	rec := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-02 07:00")}
	r.bell(storage.Bell{Title: "look for emergence", Schedule: rec.Spec(), Next: at("2027-03-02 07:00"), Daily: true})
	r.do(func(tx *storage.Tx) {
		was, err := tx.Household(r.house)
		require.NoError(t, err)
		require.NoError(t, tx.Set(r.house, storage.SetMorning, "08:15"))
		is, err := tx.Household(r.house)
		require.NoError(t, err)
		require.NoError(t, reminders.Resettle(tx, was, is, at("2027-03-01 06:00")))
	})
	said := r.play("2027-03-01 06:00", "2027-03-02 09:00")
	require.Equal(t, []string{"02 08:15 Ivo: Look for emergence (2)"}, said)
	r.answerAll(storage.AnswerDone, at("2027-03-02 09:00"))
	require.Equal(t, []string{"03 08:15 Ivo: Look for emergence (3)"}, r.play("2027-03-02 09:00", "2027-03-03 09:00"))
}

// TestWrongClock: a machine that boots in 2036 and is put right by the network
// neither swallows the years between nor floods.
func TestWrongClock(t *testing.T) {
	r := newRinger(t)
	rec := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-01 08:00")}
	r.bell(storage.Bell{Title: "feed the hens", Schedule: rec.Spec(), Next: at("2027-03-01 08:00"), Remain: 5})
	r.bell(storage.Bell{Title: "vet comes", Next: at("2027-03-04 10:00")})
	require.Len(t, r.play("2027-03-01 06:00", "2027-03-01 08:01"), 1)
	r.answerAll(storage.AnswerDone, at("2027-03-01 08:01"))
	r.tick("2036-01-01 12:00")
	said := r.tick("2027-03-01 12:00")
	require.Equal(t, []string{"01 12:00 : This machine's clock was wrong: it said Tue 1 Jan 2036 12:00. 2 bells rang too early and will ring again at the right time."}, said)
	var due []string
	require.NoError(t, reminders.Play(ctx, r.s, at("2027-03-01 12:00"), at("2027-03-20 12:00"), func(now time.Time) error {
		for _, s := range r.said(now) {
			due = append(due, s[:strings.Index(s, " (")])
		}
		r.answerAll(storage.AnswerDone, now)
		return nil
	}))
	require.Equal(t, []string{"02 08:00 Ivo: Feed the hens", "03 08:00 Ivo: Feed the hens", "04 08:00 Ivo: Feed the hens", "04 10:00 Ivo: Vet comes", "05 08:00 Ivo: Feed the hens"}, due)
}

// TestClockBehindEverything: a machine that boots in 1970 rings nothing again and
// takes nothing back; when it is put right, all goes on.
func TestClockBehindEverything(t *testing.T) {
	r := newRinger(t)
	rec := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-01 08:00")}
	r.bell(storage.Bell{Title: "feed the hens", Schedule: rec.Spec(), Next: at("2027-03-01 08:00")})
	require.Len(t, r.play("2027-03-01 06:00", "2027-03-01 08:01"), 1)
	r.answerAll(storage.AnswerDone, at("2027-03-01 08:01"))
	require.Empty(t, r.tick("1970-01-01 00:01"))
	require.Equal(t, []string{"02 08:00 Ivo: Feed the hens (3)"}, r.play("2027-03-01 08:05", "2027-03-02 08:01"))
}

// TestOfferedAndIgnored: the one who handed a ring on hears of it when the
// receiver does not answer.
func TestOfferedAndIgnored(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "feed the hens", Next: at("2027-03-01 09:00")})
	r.play("2027-03-01 06:00", "2027-03-01 09:00")
	r.do(func(tx *storage.Tx) {
		open, err := tx.OpenRings(r.house)
		require.NoError(t, err)
		g := open[0]
		g.Giver, g.Given, g.Whom, g.Wake, g.Said = g.Whom, storage.GivenOffer, reminders.People(r.ids["Maren"]), at("2027-03-01 09:05"), 0
		require.NoError(t, tx.SaveRing(g))
	})
	require.Equal(t, []string{
		"01 09:05 Maren: Feed the hens (2)\nhanded on by Ivo; no 2 gives it back\nlate by 5 min: due 09:00",
		"01 09:25 Maren: Feed the hens (2)\nhanded on by Ivo; no 2 gives it back\nasked 2 times, due 09:00",
		"01 09:25 Ivo: Maren has not answered: feed the hens (2)\nhanded on by Ivo; no 2 gives it back\nasked 2 times, due 09:00",
	}, r.play("2027-03-01 09:05", "2027-03-01 09:30"))
}

// TestSchoolOfOneChild: a child that has a school of its own is not rung in its hours; the
// others are, and on days without school everybody is.
func TestSchoolOfOneChild(t *testing.T) {
	r := newRinger(t)
	r.do(func(tx *storage.Tx) {
		var err error
		r.ids["Lise"], err = tx.AddPerson(storage.Person{Household: r.house, Name: "Lise", Age: 10, AgeOn: "2027-01-01"})
		require.NoError(t, err)
		require.NoError(t, tx.AddBlock(storage.Block{Household: r.house, Title: "school", First: 8*60 + 30, Past: 15 * 60, Days: storage.Working, Whom: reminders.People(r.ids["Ivo"])}))
	})
	r.bell(storage.Bell{Title: "shut the gate", Next: at("2027-03-01 10:00"), Useful: 24 * time.Hour})
	r.bell(storage.Bell{Title: "fetch the post", Next: at("2027-03-01 10:05"), Whom: reminders.People(r.ids["Lise"])})
	said := strings.Join(r.play("2027-03-01 06:00", "2027-03-01 15:00"), "\n")
	require.Contains(t, said, "01 10:05 Lise: Fetch the post")
	require.Contains(t, said, "01 15:00 Ivo: Shut the gate")
	r.do(func(tx *storage.Tx) {
		none := storage.DaySet{{From: at("2027-03-02 00:00"), To: at("2027-03-02 00:00")}}
		require.NoError(t, tx.Set(r.house, storage.SetNoSchool, none.String()))
	})
	r.bell(storage.Bell{Title: "sweep the yard", Next: at("2027-03-02 10:00")})
	require.Contains(t, strings.Join(r.play("2027-03-02 06:00", "2027-03-02 10:01"), "\n"), "02 10:00 Ivo: Sweep the yard")
}

// TestMedicineOfTheIll: being ill takes work from somebody and not the medicine; whoever
// looks after the household hears of it too, and knows for whom it is. Who is away is rung
// for nothing.
func TestMedicineOfTheIll(t *testing.T) {
	r := newRinger(t)
	absent := func(kind, since, until string) {
		r.do(func(tx *storage.Tx) {
			require.NoError(t, tx.AddAbsence(storage.Absence{Household: r.house, Person: r.ids["Ivo"], Kind: kind, Since: at(since), Until: at(until)}))
		})
	}
	absent(storage.Ill, "2027-03-02 07:00", "2027-03-03 07:00")
	absent(storage.Away, "2027-03-03 07:00", "2027-03-04 07:00")
	for _, b := range []storage.Bell{
		{Title: "take the tablet", Next: at("2027-03-02 08:00")},
		{Title: "feed the hens", Next: at("2027-03-02 08:05")},
		{Title: "take the tablet", Next: at("2027-03-02 08:10"), Whom: reminders.People(r.ids["Maren"], r.ids["Ivo"])},
		{Title: "take the tablet", Next: at("2027-03-03 08:00")},
	} {
		reminders.Classify(&b)
		r.bell(b)
	}
	require.Equal(t, []string{
		"02 08:00 Maren: Take the tablet (5)\nfor Ivo, ill until Wed 3 Mar 07:00",
		"02 08:00 Ivo: Take the tablet (5)",
		"02 08:05 Maren: Feed the hens (6)\nfor Ivo, ill until Wed 3 Mar 07:00",
		"02 08:10 Maren: Take the tablet (7)",
		"02 08:10 Ivo: Take the tablet (7)",
	}, r.play("2027-03-02 07:30", "2027-03-02 08:15"))
	r.answerAll(storage.AnswerDone, at("2027-03-02 08:15"))
	require.Equal(t, []string{"03 08:00 Maren: Take the tablet (8)\nfor Ivo, away until Thu 4 Mar 07:00"}, r.play("2027-03-02 08:15", "2027-03-03 08:05"))
}
