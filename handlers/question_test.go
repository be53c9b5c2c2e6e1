package handlers_test

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/handlers"
	"yardbell/storage"
)

// TestAJobAskedBackIsNotLost: a line in between puts the question once more and no more
// often, and what is said of a burn stands alone.
func TestAJobAskedBackIsNotLost(t *testing.T) {
	const still = `Not kept yet, and still asked: May children be near at "mend the gate"?`
	h := newHome(t)
	at := wallTime(t, "2027-03-01 07:30")
	ask := func(line string) string {
		replies := h.say(at, "Maren", line)
		require.Len(t, replies, 1, line)
		return replies[0].Text()
	}
	require.Contains(t, ask("job mend the gate, Edda, 45 min"), "May children be near")
	require.NotContains(t, ask("lye on Lise's hand"), "mend the gate")
	require.Contains(t, ask("eggs 14"), still)
	require.NotContains(t, ask("eggs 12 more"), "mend the gate")
	require.NotContains(t, ask("job mend the gate, Edda, 45 min, no children"), still)
}

// TestQuestionsOfTheDayLead: the words on the buttons of what is asked of blocks and
// run-ups do what they say.
func TestQuestionsOfTheDayLead(t *testing.T) {
	t.Parallel()
	const two = "school 8.30 to 3 Ivo"
	const market = "run-up market day\n-1 d call Ruth\n0 07:00 leave"
	for _, c := range []struct {
		before       []string
		line, label  string
		want, blocks string
	}{
		{nil, "supper is at 7", "only today", "Supper is 19:00-20:00, Mon 1 Mar.", "supper 18:00-19:00, everyone"},
		{nil, "supper is at 7", "from now on", "in place of: supper 18:00-19:00", "supper 19:00-20:00, everyone"},
		{nil, "supper is off", "only today", "Supper is off, Mon 1 Mar.", "supper 18:00-19:00, everyone"},
		{nil, "supper is off", "for good", "Out of the day: supper", "school weekdays"},
		{[]string{two}, "drop school", "weekdays 09:30-12:30, Lise and Pim", "Out of the day: school weekdays 09:30-12:30, Lise and Pim.", "school weekdays 08:30-15:00, Ivo"},
		{[]string{two}, "drop school", "all of them", "Out of the day: school weekdays 08:30-15:00, Ivo; school", "supper"},
		{[]string{two}, "school now ends at 1", "weekdays 09:30-12:30, Lise and Pim", "School weekdays 09:30-13:00, Lise and Pim.", "school weekdays 08:30-15:00, Ivo"},
		{nil, "work for Tom is 9 to 5 these days", "weekdays", "Work weekdays 09:00-17:00, Tom.", "work weekdays"},
		{nil, "Lise has piano at 4 on wednesdays", "16:30", "Piano Wed 16:00-16:30, Lise.", "piano Wed"},
		{nil, "Edda bakes mondays 9-12 in the kitchen", "yes", "Bakes Mon 09:00-12:00, Edda, in the kitchen.", "bakes Mon"},
		{[]string{market, "market day saturday"}, "market day sunday", "it moves", "Market day moves to Sun 7 Mar, was Sat 6 Mar:", "supper"},
		{[]string{market, "market day saturday"}, "market day sunday", "set it also", "Market day, Sun 7 Mar:", "supper"},
		{[]string{market}, "market day is off", "drop the list", "Dropped: the run-up market day.", "supper"},
	} {
		h := newHome(t)
		at := wallTime(t, "2027-03-01 07:30")
		for _, line := range append([]string{"day school weekdays 9:30-12:30 kids", "block supper 18:00-19:00 everyone"}, c.before...) {
			h.say(at, "Maren", line)
		}
		asked := h.say(at, "Maren", c.line)
		require.Len(t, asked, 1, c.line)
		require.Equal(t, storage.Asked, asked[0].Status, c.line)
		require.Contains(t, h.say(at, "Maren", c.label)[0].Text(), c.want, "%s: %s", c.line, c.label)
		require.Contains(t, h.say(at, "Maren", "blocks")[0].Text(), c.blocks, "%s: %s", c.line, c.label)
	}
}

// TestALineForTheBotIsReadAsAmongPeople: in a private chat a line means what it means in the
// group.
func TestALineForTheBotIsReadAsAmongPeople(t *testing.T) {
	t.Parallel()
	for line, want := range map[string]string{
		"the kids have football thursdays 4 to 5.30": "Football Thu 16:00-17:30, the kids.",
		"Tom works nights 22:00-6:00 weekdays":       "Night work weekdays 22:00-06:00, Tom.",
		"supper is at 6":                             "as it stands",
		"no school on fridays":                       "Out of the day: school Fri",
		"drop supper":                                "Out of the day: supper",
	} {
		h := newHome(t)
		at := wallTime(t, "2027-03-01 07:30")
		h.say(at, "Maren", "day school weekdays 9:30-12:30 kids")
		h.say(at, "Maren", "block supper 18:00-19:00 everyone")
		_, err := h.roster.Hear(context.Background(), h.store, handlers.Heard{Line: storage.Line{Transport: "test", Ext: "direct", Name: "Maren", At: h.now, Text: line}, Chat: "home", Zone: "Europe/London", Direct: true})
		require.NoError(t, err)
		said := h.drain()
		require.NotEmpty(t, said, line)
		require.Contains(t, said[len(said)-1].Text(), want, line)
	}
}
