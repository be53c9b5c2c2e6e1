package handlers_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/handlers"
	"yardbell/storage"
)

// stockOf sums what the larder has of a thing, and checks every lot: what came in less
// what was drawn is what is left, and never below nothing.
func (h *home) stockOf(item string) (sum float64) {
	h.t.Helper()
	require.NoError(h.t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		lots, err := tx.Lots(1, false)
		require.NoError(h.t, err)
		draws, err := tx.Draws(1)
		require.NoError(h.t, err)
		for _, l := range lots {
			drawn := 0.0
			for _, d := range draws {
				if d.Lot.ID == l.ID {
					drawn += d.Amount
				}
			}
			require.InDelta(h.t, l.Amount-drawn, l.Left, 1e-6, "lot %d of %s", l.ID, l.Item)
			require.GreaterOrEqual(h.t, l.Left, -1e-6)
			if strings.EqualFold(l.Item, item) {
				sum += l.Left
			}
		}
		return nil
	}))
	return sum
}

// TestInLessOutIsLeft: whatever is put in, given, sold, swapped, thrown out, corrected
// and taken back, in any order, what went in less what went out is what is left; what
// the larder does not have is asked about and changes nothing.
func TestInLessOutIsLeft(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(rt *rapid.T) {
		h := newHome(t)
		wall := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
		before := []float64{0} // what was left, entry by entry
		asked := false         // the line before was answered with a question, which an undo does not pass over
		for range rapid.IntRange(1, 14).Draw(rt, "lines") {
			have := before[len(before)-1]
			n := rapid.IntRange(1, 30).Draw(rt, "n")
			kind := rapid.SampledFrom([]string{"in", "got", "gave", "sold", "swapped", "took", "threw", "is", "undo", "wrong"}).Draw(rt, "kind")
			line, want := "", have
			switch kind {
			case "in":
				line, want = fmt.Sprintf("larder %d eggs", n), have+float64(n)
			case "got":
				line, want = fmt.Sprintf("got %d eggs from Morag", n), have+float64(n)
			case "gave":
				line, want = fmt.Sprintf("gave %d eggs to Ruth", n), have-float64(n)
			case "sold":
				line, want = fmt.Sprintf("sold %d eggs to Ruth for 3", n), have-float64(n)
			case "swapped":
				line, want = fmt.Sprintf("swapped %d eggs for 2 l milk with Ruth", n), have-float64(n)
			case "took":
				line, want = fmt.Sprintf("larder took %d eggs", n), have-float64(n)
			case "threw":
				line, want = fmt.Sprintf("larder threw out %d eggs", n), have-float64(n)
			case "is":
				line, want = fmt.Sprintf("larder eggs is %d", n), float64(n)
			case "undo":
				line = map[bool]string{true: "undo mine", false: "undo"}[asked]
			case "wrong":
				line, want = fmt.Sprintf("larder took %d or %d eggs", n, n+1), have
			}
			wall = wall.Add(time.Minute)
			entries := h.entries()
			replies := h.say(wall, "Maren", line)
			asked = len(replies) > 0 && replies[0].Status == storage.Asked
			switch {
			case kind == "undo" && len(before) > 1:
				before = before[:len(before)-1]
				want = before[len(before)-1]
			case kind == "undo":
				want = 0
			case want < 0 && have > 0 || want < 0 && kind != "gave" && kind != "sold" && kind != "swapped": // more than there is
				require.Len(t, replies, 1, line)
				require.NotEqual(t, storage.OK, replies[0].Status, line)
				want = have
			case h.entries() > entries:
				want = math.Max(want, 0) // not from the larder
				before = append(before, want)
			default:
				want = have
			}
			require.InDelta(t, want, h.stockOf("eggs"), 1e-6, "after %q", line)
		}
	})
}

// TestTwoDrawsAtOnce: of two who take the last eggs at the same instant one gets them,
// and the other is asked; of what is given the second is told that there was none.
func TestTwoDrawsAtOnce(t *testing.T) {
	for n := range 10 {
		line := []string{"larder took 12 eggs", "gave 12 eggs to Ruth"}[n%2]
		h := newHome(t)
		at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
		h.say(at, "Maren", "larder 12 eggs")
		var wg sync.WaitGroup
		for i, who := range []string{"Maren", "Tom"} {
			wg.Go(func() {
				_, err := h.roster.Hear(context.Background(), h.store, handlers.Heard{
					Line: storage.Line{Transport: "test", Ext: fmt.Sprint("at once", i), Name: who, At: h.now, Text: line}, Chat: "home", Zone: "Europe/London",
				})
				if err != nil {
					t.Error(err)
				}
			})
		}
		wg.Wait()
		var statuses []string
		for _, m := range h.drain() {
			statuses = append(statuses, m.Status+": "+m.Text())
		}
		require.Len(t, statuses, 2)
		second := "only 0"
		if n%2 == 1 {
			second = "had no eggs left"
		}
		require.Equal(t, 1, strings.Count(strings.Join(statuses, "\n"), second), statuses)
		require.InDelta(t, 0, h.stockOf("eggs"), 1e-9)
	}
}

// TestExpectingIsToldToNobody: in a household's group nothing that is answered, listed
// or kept in the day book says who expects a child; she is told in a chat of her own.
func TestExpectingIsToldToNobody(t *testing.T) {
	h := newHome(t)
	at := time.Date(2027, 3, 1, 9, 0, 0, 0, time.UTC)
	require.NoError(t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		people, err := tx.People(1)
		require.NoError(t, err)
		require.NoError(t, tx.TieAccount(1, people[0].ID, "account-1"))
		return tx.SetPrivate("account-1")
	}))
	replies := h.say(at, "Maren", "house expecting Maren until 1 september")
	require.Len(t, replies, 1)
	require.Equal(t, "Kept, and told to nobody here.", replies[0].Text())
	for i, line := range []string{"who", "book", "house", "today", "undo", "who is expecting", "bells"} {
		for _, m := range h.say(at.Add(time.Duration(i+1)*time.Minute), "Tom", line) {
			require.NotContains(t, strings.ToLower(m.Text()), "expect", line)
			require.NotContains(t, strings.ToLower(m.Text()), "lambing", line)
		}
	}
	replies = h.say(at.Add(time.Hour), "Ivo", "/house expecting Maren")
	require.Equal(t, storage.Refused, replies[0].Status)
}
