package reminders_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/reminders"
	"yardbell/storage"
)

// TestRoomWork holds the table of work by its room: every row says why and by what source,
// and what only sounds like work of the kitchen is not.
func TestRoomWork(t *testing.T) {
	f, err := os.Open("roomwork.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	require.Equal(t, []string{"words", "room", "why", "source", "mark"}, rows[0])
	for _, row := range rows[1:] {
		for i, cell := range row {
			require.NotEmpty(t, cell, "%s: %s", row[0], rows[0][i])
		}
		for one := range strings.SplitSeq(row[0], "|") {
			require.True(t, reminders.WorkIn("please "+one+" now", row[1]), one)
		}
	}
	for _, title := range []string{
		"wash up", "Wash the dishes", "washing-up", "put the kettle on", "lay the table", "set the table", "clean the kitchen", "get flour from the kitchen", "sweep the kitchen's floor",
		"wash the pots", "sort the larder", "come in for breakfast", "come and eat", "fetch the wood in",
		"cook", "peel the potatoes", "bake biscuits", "dry the dishes", "get supper on",
	} {
		require.True(t, reminders.WorkIn(title, "kitchen"), title)
	}
	for _, title := range []string{"feed the hens", "wash the car", "dig the potatoes", "water the pots", "homework", "tidy the table", "practise the fiddle", "walk the dog up the lane"} {
		require.False(t, reminders.WorkIn(title, "kitchen"), title)
	}
	require.True(t, reminders.WorkIn("muck out the barn", "barn"))
	require.False(t, reminders.WorkIn("wash up", "barn"))
	require.True(t, reminders.WorkIn("put the wash on in the utility room", "utility room"))
}

// rope ropes a room off at an instant.
func (r *ringer) rope(room, when string) {
	r.do(func(tx *storage.Tx) {
		require.NoError(r.t, tx.RopeOff(r.house, storage.Rope{Room: room, Since: at(when)}))
	})
}

// clear gives the all clear in every room.
func (r *ringer) clear(when string) {
	r.do(func(tx *storage.Tx) {
		all, err := tx.Roped(r.house)
		require.NoError(r.t, err)
		for _, rope := range all {
			require.NoError(r.t, tx.Clear(rope.ID, at(when)))
		}
	})
}

// TestNoChildIsSentIntoARopedRoom: work in the room waits for the all clear and then says
// why, in turns and in second asks too; other rings of a child say to stay out; an adult is
// rung as ever.
func TestNoChildIsSentIntoARopedRoom(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "wash up", Next: at("2027-03-06 11:50")})
	r.bell(storage.Bell{Title: "clean the kitchen", Next: at("2027-03-06 12:10")})
	r.bell(storage.Bell{Title: "lay the table", Next: at("2027-03-06 12:20"), Whom: reminders.Kids})
	r.bell(storage.Bell{Title: "walk the dog", Next: at("2027-03-06 12:30")})
	r.bell(storage.Bell{Title: "wash the pans", Next: at("2027-03-06 12:31"), Whom: reminders.Everyone})
	require.Equal(t, []string{"06 11:50 Ivo: Wash up (6)"}, r.play("2027-03-06 11:00", "2027-03-06 12:02"))
	r.rope("kitchen", "2027-03-06 12:03")
	require.Equal(t, []string{
		"06 12:30 Ivo: Walk the dog (9)\nThe kitchen is roped off: stay out.",
		"06 12:31 Maren: Wash the pans (10)",
	}, r.play("2027-03-06 12:03", "2027-03-06 12:40"), "neither the new ones nor a second ask of the first")
	r.clear("2027-03-06 12:40")
	r.answerAll(storage.AnswerDone, at("2027-03-06 12:40"))
	require.Equal(t, []string{
		"06 12:40 Ivo: 2 things now\nClean the kitchen (7). waited: the kitchen was roped off until 12:40; due 12:10\n" +
			"Lay the table (8). waited: the kitchen was roped off until 12:40; due 12:20",
	}, r.play("2027-03-06 12:40", "2027-03-06 12:45"))
}

// TestASecondAskWaits: what was asked before the room was roped off is not asked again
// until all is clear.
func TestASecondAskWaits(t *testing.T) {
	r := newRinger(t)
	r.bell(storage.Bell{Title: "wash up", Next: at("2027-03-06 11:50")})
	require.Len(t, r.play("2027-03-06 11:00", "2027-03-06 12:02"), 1)
	r.rope("kitchen", "2027-03-06 12:03")
	require.Empty(t, r.play("2027-03-06 12:03", "2027-03-06 20:00"), "no second ask, no round, no evening look")
	r.clear("2027-03-06 20:00")
	require.Equal(t, []string{"06 20:00 Ivo: Wash up (2)\nwaited: the kitchen was roped off until 20:00\nasked 2 times, due 11:50"}, r.play("2027-03-06 20:00", "2027-03-06 20:05"))
}

// TestMealsBehindTheRope: what cannot wait is told to an adult, who learns why.
func TestMealsBehindTheRope(t *testing.T) {
	r := newRinger(t)
	r.rope("kitchen", "2027-03-06 12:03")
	for _, b := range []storage.Bell{{Title: "cook supper"}, {Title: "put the soup into the fridge"}} {
		b.Next = at("2027-03-06 12:10")
		reminders.Classify(&b)
		r.bell(b)
	}
	require.Equal(t, []string{
		"06 12:10 Maren: 2 things now\nCook supper (3). for Ivo: the kitchen is roped off, children stay out\n" +
			"Put the soup into the fridge (4). for Ivo: the kitchen is roped off, children stay out",
	}, r.play("2027-03-06 12:03", "2027-03-06 12:15"))
}

// TestAnotherRoomIsAnotherMatter: a roped shed holds nothing back in the kitchen, and says
// itself.
func TestAnotherRoomIsAnotherMatter(t *testing.T) {
	r := newRinger(t)
	r.rope("shed", "2027-03-06 12:03")
	r.bell(storage.Bell{Title: "wash up", Next: at("2027-03-06 12:10")})
	r.bell(storage.Bell{Title: "sweep the shed", Next: at("2027-03-06 12:20")})
	require.Equal(t, []string{"06 12:10 Ivo: Wash up (3)\nThe shed is roped off: stay out."}, r.play("2027-03-06 12:03", "2027-03-06 12:25"))
}

// TestARopeIsNotForgottenByMorning: a room that stays roped off keeps children out on the
// next day, too, and the list of what is to come says so only as long as it is known.
func TestARopeIsNotForgottenByMorning(t *testing.T) {
	r := newRinger(t)
	daily := reminders.Recurrence{Freq: "DAILY", Interval: 1, Start: wall("2027-03-06 12:10")}.Spec()
	b := r.bell(storage.Bell{Title: "wash up", Schedule: daily, Next: at("2027-03-06 12:10"), Useful: reminders.UsefulDaily})
	r.rope("kitchen", "2027-03-06 12:03")
	r.do(func(tx *storage.Tx) {
		home, err := reminders.Load(tx, r.house, at("2027-03-06 12:05"))
		require.NoError(t, err)
		planned, err := home.Rehearse([]storage.Bell{b}, at("2027-03-06 12:05"), at("2027-03-07 20:00"))
		require.NoError(t, err)
		require.Len(t, planned, 2)
		require.Equal(t, at("2027-03-06 12:10"), planned[0].At)
		require.Equal(t, "not while the kitchen is roped off", planned[0].Shut)
		require.Empty(t, planned[1].Shut)
	})
	for _, s := range r.play("2027-03-06 12:03", "2027-03-07 20:00") {
		require.NotContains(t, s, " Ivo: ")
	}
	r.clear("2027-03-07 20:00")
	said := r.play("2027-03-07 20:00", "2027-03-07 20:05")
	require.Len(t, said, 1)
	require.Contains(t, said[0], "waited: the kitchen was roped off until 20:00")
}

// TestTheBoardSaysToStayOut: a group's board with a child's ring on it says it, once.
func TestTheBoardSaysToStayOut(t *testing.T) {
	r := newRinger(t)
	r.rope("kitchen", "2027-03-06 12:03")
	r.bell(storage.Bell{Title: "walk the dog", Next: at("2027-03-06 12:10")})
	r.bell(storage.Bell{Title: "phone the vet", Next: at("2027-03-06 13:10"), Whom: reminders.Keepers})
	require.NoError(t, reminders.Play(ctx, r.s, at("2027-03-06 12:03"), at("2027-03-06 13:15"), func(_ time.Time) error { return nil }))
	var boards []string
	r.do(func(tx *storage.Tx) {
		posted, err := tx.Unsent(r.house, storage.Which{}, 1000)
		require.NoError(t, err)
		for _, p := range posted {
			if p.Message.Kind == storage.KindBoard {
				boards = append(boards, p.Message.Text())
			}
		}
	})
	require.Contains(t, boards[0], "The kitchen is roped off: stay out.")
	require.NotContains(t, boards[len(boards)-1], "roped off")
}
