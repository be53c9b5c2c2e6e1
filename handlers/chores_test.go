package handlers_test

import (
	"context"
	"fmt"
	"math/big"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/reminders"
	"yardbell/storage"
)

func at(day, clock string) time.Time {
	w, err := time.Parse("2006-01-02 15:04", day+" "+clock)
	if err != nil {
		panic(err)
	}
	return w
}

// works returns what is in the account.
func (h *home) works() []storage.Work {
	h.t.Helper()
	var out []storage.Work
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		var err error
		out, err = tx.Works(1, time.Unix(0, 0), h.now.AddDate(1, 0, 0))
		return err
	}))
	return out
}

func (h *home) ask(wall time.Time, name, text string) storage.Message {
	h.t.Helper()
	replies := h.say(wall, name, text)
	require.Len(h.t, replies, 1, "%s: %q", name, text)
	return replies[0]
}

// TestTwoClaimAtOnce: two people say at the same instant that they are on a chore
// for whoever is free, and later that they have done it. It has one effect, and both
// are told.
func TestTwoClaimAtOnce(t *testing.T) {
	h := newHome(t)
	h.ask(at("2027-03-01", "08:00"), "Maren", "chore bring the washing daily 16:00 whoever is free of Ivo and Lise")
	first := h.ask(at("2027-03-01", "16:01"), "Lise", "on it")
	require.Contains(t, first.Text(), "Lise is on it")
	second := h.ask(at("2027-03-01", "16:01"), "Ivo", "on it")
	require.Contains(t, second.Text(), "Lise was first and has it")
	require.Contains(t, second.Text(), "Ivo")
	require.Empty(t, h.works())

	first = h.ask(at("2027-03-01", "16:20"), "Ivo", "done washing")
	require.Contains(t, first.Text(), "Done")
	second = h.ask(at("2027-03-01", "16:20"), "Lise", "done washing")
	require.Contains(t, second.Text(), "already: Ivo")
	require.Contains(t, second.Text(), "Lise")
	require.Len(t, h.works(), 1, "one effect")
	require.Equal(t, "4", fmt.Sprint(h.works()[0].Doers[0]), "of the one who did it")
}

// TestOneButtonTwice: the button of a ring pressed by two counts once.
func TestOneButtonTwice(t *testing.T) {
	h := newHome(t)
	h.ask(at("2027-03-01", "08:00"), "Maren", "Ivo and Lise set the table daily at 17:30, 20 min")
	h.say(at("2027-03-01", "17:31"), "Maren", "the clock runs on")
	require.Contains(t, h.ask(at("2027-03-01", "17:32"), "Ivo", h.numbers("/done {ring}")).Text(), "Done")
	require.Contains(t, h.ask(at("2027-03-01", "17:32"), "Lise", h.numbers("/done {ring}")).Text(), "done by Ivo already")
	works := h.works()
	require.Len(t, works, 1)
	require.Equal(t, []int64{4, 5}, works[0].Doers, "they do it together")
}

// TestCreditOverAMonth plays a month in which three children share a chore by least
// done, one of them is away for a week, work is handed on and some of it forgotten:
// the account follows who did it, sums to zero, and what was forgotten is nobody's.
func TestCreditOverAMonth(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	h.ask(at("2027-03-01", "08:00"), "Maren", "wash up daily 18:30 by least done Ivo Lise Pim, 20 min")
	names := map[int64]string{4: "Ivo", 5: "Lise", 6: "Pim"}
	done := map[string]int{}
	missed := 0
	for d := range 28 {
		day := time.Date(2027, 3, 1+d, 18, 45, 0, 0, time.UTC)
		if d == 7 {
			h.ask(day.Add(-8*time.Hour), "Maren", "Lise is away until 14 March")
		}
		h.say(day.Add(-10*time.Minute), "Maren", "the clock runs on")
		who := h.called()
		require.NotEmpty(t, who)
		if d >= 7 && d <= 13 {
			require.NotEqual(t, "Lise", who, "day %d", d)
		}
		switch {
		case d%9 == 8: // nobody does it
			missed++
			continue
		case d == 4: // somebody else does it
			for _, other := range names {
				if other != who {
					who = other
					break
				}
			}
		}
		require.Contains(t, h.ask(day, "Maren", who+" did the wash up").Text(), "Done")
		done[who] += 20
	}
	sum := new(big.Rat)
	ledger := reminders.House{Works: h.works()}.Ledger()
	for id, name := range names {
		sum.Add(sum, ledger.Balance(id))
		effort, _ := ledger.Done(id).Float64()
		require.InDelta(t, done[name], effort, 1e-9, name)
	}
	require.Zero(t, sum.Sign())
	require.LessOrEqual(t, max(done["Ivo"], done["Pim"])-min(done["Ivo"], done["Pim"]), 20, "within one chore of each other")
	require.InDelta(t, float64(done["Ivo"]+done["Pim"])/2-7*10, done["Lise"], 25, "who was away comes back with no debt")
	require.Equal(t, (28-missed)*20, done["Ivo"]+done["Lise"]+done["Pim"])
	require.Contains(t, h.ask(at("2027-03-28", "20:00"), "Maren", "chores account").Text(), "missed")
}

// called is who the newest ring is for.
func (h *home) called() string {
	h.t.Helper()
	var name string
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		_, err := tx.One(`SELECT person.name FROM ring JOIN person ON person.id = ring.whom ORDER BY ring.due DESC, ring.id DESC LIMIT 1`, nil, &name)
		return err
	}))
	return name
}

// TestNoWayRound: whatever is typed, a hazard does not come to a child: not by rota,
// swap, pass, a changed name, a bell, or somebody joining.
func TestNoWayRound(t *testing.T) {
	t.Parallel()
	setup := []string{"chore feed the boar Tom daily at 8am", "rota stove daily 6:00 Tom Maren", "chore sweep the yard Ivo daily at 9am"}
	for _, line := range []string{
		"give the boar to Ivo", "add Ivo to the stove rota", "swap the boar with Ivo tomorrow", "rename the sweep chore to light the stove", "/pass boar to Ivo",
		"whoever has done least of the kids feeds the boar daily at 7", "rota boar Ivo Lise daily at 8am", "ring Ivo feed the boar daily at 8", "Ivo feeds the boar every day at 7",
		"boar from age 12", "/chore feed the boar Ivo daily at 9am, with an adult",
		"pass the boar chore to Ivo", "let Ivo feed the boar", "Ivo and Tom do the boar", "Ivo takes over the boar", "the boar is Ivo's now", "let Lise do the stove tomorrow", "Ivo covers the boar", "ask Ivo to do the boar",
	} {
		h := newHome(t)
		for _, s := range setup {
			h.ask(at("2027-03-01", "07:00"), "Maren", s)
		}
		h.say(at("2027-03-01", "08:01"), "Tom", "the clock runs on")
		before := h.records()
		reply := h.ask(at("2027-03-01", "08:02"), "Tom", line)
		require.Equal(t, storage.Refused, reply.Status, "%q: %s", line, reply.Text())
		require.Equal(t, before, h.records(), line)
	}
}

// TestChoreQuestionsWriteNothing: whatever is asked about a chore, with or without its
// question mark, closes no bell and credits nobody.
func TestChoreQuestionsWriteNothing(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	for _, s := range []string{"chore feed the hens Ivo daily at 7am", "chore shut the hens Lise daily at 8pm", "rota wash up daily 18:30 Ivo Lise"} {
		h.ask(at("2027-03-01", "06:00"), "Maren", s)
	}
	h.say(at("2027-03-01", "20:05"), "Edda", "the clock runs on")
	before := h.records()
	asked := 0
	for _, open := range []string{"are", "is", "were", "was", "have", "has", "did", "do", "does", "isn't", "aren't", "hasn't", "who", "when", "can", "should", "why"} {
		for _, rest := range []string{"the hens fed", "the hens shut in", "the hens been fed", "Ivo fed the hens", "anyone shut the hens in", "Lise wash up", "washed up", "the washing up done"} {
			if open == "did" && !strings.HasPrefix(rest, "Ivo") && !strings.HasPrefix(rest, "anyone") {
				continue // "did the hens" tells of it
			}
			for _, mark := range []string{"", "?"} {
				for _, who := range []string{"Maren", "Lise"} {
					for _, m := range h.say(at("2027-03-01", "20:05"), who, open+" "+rest+mark) {
						require.NotContains(t, m.Text(), "Done:", "%s: %s %s%s", who, open, rest, mark)
						asked++
					}
					require.Equal(t, before, h.records(), "%s: %s %s%s", who, open, rest, mark)
				}
			}
		}
	}
	require.Greater(t, asked, 50, "some of them are answered")
	require.Empty(t, h.works())
}

// TestChoreButtonsLead: the ways that a question about a chore offers do what they say.
func TestChoreButtonsLead(t *testing.T) {
	t.Parallel()
	hens := "chore feed the hens Ivo daily at 7am and 5pm"
	for _, c := range []struct{ setup, line, wants string }{
		{hens, "Ivo feeds the hens daily at 9am", "09:00"},
		{"chore feed the hens Ivo daily at 7am", "Ivo feeds the hens daily at 9am", "09:00"},
		{"chore muck out the goats Ivo saturdays at 10am", "Ivo mucks out the goats saturdays at 9am", "every Sat at"},
		{"rota wash up Ivo Lise Pim daily 18:30", "rota wash up daily 19:00: Ivo, Lise", "19:00"},
		{hens, "move feed the hens to 6:30am", "06:30"},
		{hens, "Lise feeds the hens tomorrow at 7am", "Lise"},
		{hens, "Lise feeds the hens daily at 7am and 5pm", "Lise"},
		{hens, "stop the hens", "eed the hens"},
		{hens, "goats and hens at 8", ""},
		{hens, "stop all chores", ""},
		{"chore feed the goats Tom daily at 7:30am", "goats at 8am", "08:00"},
		{"chore feed the goats Maren daily at 7:30am", "give my chores to Tom", "Tom"},
		{"chore feed the goats Tom daily at 7:30am", "Tom doesn't feed the goats any more", "Stopped"},
	} {
		for n := 0; ; n++ {
			h := newHome(t)
			h.ask(at("2027-03-01", "06:00"), "Maren", c.setup)
			replies := h.say(at("2027-03-01", "06:05"), "Maren", c.line)
			if len(replies) == 0 || n >= len(replies[0].Buttons) {
				require.True(t, n > 0 || c.wants == "", "%q offers nothing", c.line)
				break
			}
			require.Equal(t, storage.Asked, replies[0].Status, c.line)
			b := replies[0].Buttons[n]
			answer := h.ask(at("2027-03-01", "06:06"), "Maren", "/"+b.Say)
			require.Equal(t, storage.OK, answer.Status, "%q -> [%s]: %s", c.line, b.Say, answer.Text())
			require.Contains(t, answer.Text(), c.wants, "%q -> [%s]", c.line, b.Say)
		}
	}
}

// TestChoresWalk types random lines about chores in random order, with things taken
// back: nothing fails, the account sums to zero, no ring has two credits, and no
// child has what is never a child's.
func TestChoresWalk(t *testing.T) {
	t.Parallel()
	oneAtATime(t)
	lines := []string{
		"Ivo feeds the sow every morning at 7", "rota dishes daily 7pm: Ivo, Lise, Pim", "wash pots daily 18:00 by least done Ivo Lise Pim, 20 min", "whoever is free brings the washing in daily at 4pm",
		"rota sweep Ivo mon wed fri, Lise tue thu at 5pm", "Pim and Lise set the table daily at 17:30", "done dishes", "done pots", "Ivo did the dishes", "Lise did the pots", "I did the pots", "done sow", "done", "on it",
		"swap dishes with Lise", "swap dishes with Pim", "yes", "no", "I'll do Ivo's dishes tonight", "Lise does the dishes tonight instead of Ivo", "move the dishes to 8pm", "dishes by least done from now on", "dishes by turns from now on",
		"add Edda to the dishes rota", "take Pim out of the dishes rota", "no dishes on sundays", "no chores on saturday", "pause the pots until friday", "no chores for Lise tomorrow", "Lise is ill", "Lise is better", "stop the sweep chore",
		"undo", "undo", "Ivo did not do the dishes", "give the table to Pim", "pots take 30 minutes", "chores account", "how fair are the chores", "who does the dishes tomorrow", "chores today", "chore sheet", "rota", "skip", "later", "pass dishes to Pim", "Ivo is away until friday",
	}
	people := []string{"Maren", "Maren", "Tom", "Ivo", "Lise", "Pim", "Edda"}
	rapid.Check(t, func(r *rapid.T) {
		h := newHome(t)
		now := at("2027-03-01", "06:30")
		for range rapid.IntRange(5, 30).Draw(r, "lines") {
			now = now.Add(time.Duration(rapid.IntRange(1, 900).Draw(r, "minutes")) * time.Minute)
			line, who := rapid.SampledFrom(lines).Draw(r, "line"), rapid.SampledFrom(people).Draw(r, "who")
			for _, m := range h.say(now, who, line) {
				require.NotContains(t, m.Text(), "went wrong", line)
				require.NotContains(t, m.Text(), "nobody,", line)
			}
		}
		sum, rings := new(big.Rat), map[int64]bool{}
		works := h.works()
		ledger := reminders.House{Works: works}.Ledger()
		for id := int64(1); id < 8; id++ {
			sum.Add(sum, ledger.Balance(id))
		}
		require.Zero(t, sum.Sign())
		for _, w := range works {
			require.NotEmpty(t, w.Doers)
			require.False(t, w.Ring != 0 && rings[w.Ring])
			rings[w.Ring] = true
		}
		h.agree()
	})
}

// agree holds that each chore that comes round still has a bell, and that what is
// never a child's is for no child.
func (h *home) agree() {
	h.t.Helper()
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		chores, err := tx.Chores(1)
		require.NoError(h.t, err)
		people, err := tx.People(1)
		require.NoError(h.t, err)
		for _, c := range chores {
			bells, err := tx.SubjectBells(1, c.Subject())
			require.NoError(h.t, err)
			live := 0
			for _, b := range bells {
				require.True(h.t, strings.EqualFold(b.Title, c.Name))
				if b.Stopped {
					continue
				}
				live++
				for _, p := range reminders.Expand(b.Whom, people, h.now) {
					_, never := reminders.Unfit(c, p, h.now)
					require.False(h.t, never)
				}
			}
			require.Equal(h.t, c.Stopped, live == 0, c.Name)
		}
		return nil
	}))
}
