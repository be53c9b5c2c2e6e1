package rota_test

import (
	"math/big"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/rota"
)

// TestSpreadStaysUnderOneChore: with people who are always there and of whom the
// same is expected, nobody is ever ahead of another by more than the greatest
// effort of one chore.
func TestSpreadStaysUnderOneChore(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 7).Draw(t, "people")
		var free []rota.Share
		for p := range n {
			free = append(free, rota.Share{Person: int64(p + 1), Percent: 100})
		}
		var l rota.Ledger
		most := 0
		for _, effort := range rapid.SliceOfN(rapid.IntRange(1, 90), 1, 200).Draw(t, "efforts") {
			most = max(most, effort)
			who := l.Next(free)
			l.Book(rota.Turn{Effort: effort, Assigned: who, Doers: []int64{who}, Free: free})
			require.LessOrEqual(t, rota.Spread(loads(&l, free)), float64(most)+1e-9)
		}
		require.LessOrEqual(t, rota.Jain(loads(&l, free)), 1+1e-9)
	})
}

func loads(l *rota.Ledger, free []rota.Share) []rota.Load {
	var out []rota.Load
	for _, s := range free {
		done, _ := l.Done(s.Person).Float64()
		out = append(out, rota.Load{Effort: done, Percent: s.Percent})
	}
	return out
}

// story is a random run of turns: people come and go, do each other's work, do it
// together, or leave it undone.
func story(t *rapid.T, l *rota.Ledger, n int) {
	for range rapid.IntRange(1, 80).Draw(t, "turns") {
		turn := rota.Turn{Effort: rapid.IntRange(0, 60).Draw(t, "effort")}
		for p := range n {
			if rapid.Bool().Draw(t, "there") {
				turn.Free = append(turn.Free, rota.Share{Person: int64(p + 1), Percent: rapid.SampledFrom([]int{0, 25, 50, 100}).Draw(t, "percent")})
			}
		}
		turn.Assigned = l.Next(turn.Free)
		for p := range n + 1 { // also one who is not of the rota
			if rapid.IntRange(0, n).Draw(t, "did") == 0 {
				turn.Doers = append(turn.Doers, int64(p+1))
			}
		}
		l.Book(turn)
	}
}

func TestBalancesSumToZero(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "people")
		var l rota.Ledger
		story(t, &l, n)
		sum := new(big.Rat)
		for p := range n + 1 {
			sum.Add(sum, l.Balance(int64(p+1)))
		}
		require.Zero(t, sum.Sign())
	})
}

// TestAbsentComeBackAsTheyWent: who is not there, and does nothing, has the same
// balance afterwards: no debt, no credit.
func TestAbsentComeBackAsTheyWent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 5).Draw(t, "people")
		gone := int64(n + 9)
		var l rota.Ledger
		free := []rota.Share{{Person: 1, Percent: 100}, {Person: gone, Percent: 100}}
		l.Book(rota.Turn{Effort: rapid.IntRange(1, 60).Draw(t, "before"), Doers: []int64{rapid.SampledFrom([]int64{1, gone}).Draw(t, "who")}, Free: free})
		before := l.Balance(gone)
		story(t, &l, n)
		require.Zero(t, before.Cmp(l.Balance(gone)))
	})
}

// TestCreditFollowsTheDoer: whoever does it gains the effort, whose turn it was
// gains and loses nothing by that, and what is left undone moves nobody.
func TestCreditFollowsTheDoer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		effort := rapid.IntRange(1, 60).Draw(t, "effort")
		free := []rota.Share{{Person: 1, Percent: 100}, {Person: 2, Percent: 100}, {Person: 3, Percent: 100}}
		doer := rapid.Int64Range(1, 3).Draw(t, "doer")
		assigned := rapid.Int64Range(1, 3).Draw(t, "assigned")
		var did, undone rota.Ledger
		did.Book(rota.Turn{Effort: effort, Assigned: assigned, Doers: []int64{doer}, Free: free})
		undone.Book(rota.Turn{Effort: effort, Assigned: assigned, Free: free})
		for p := int64(1); p <= 3; p++ {
			want := big.NewRat(int64(-effort), 3)
			if p == doer {
				want.Add(want, big.NewRat(int64(effort), 1))
			}
			require.Zero(t, want.Cmp(did.Balance(p)))
			require.Zero(t, undone.Balance(p).Sign())
		}
	})
}

// TestEverybodyMeetsEverySlot plays the order of a rota through its weeks.
func TestEverybodyMeetsEverySlot(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, per := rapid.IntRange(2, 12).Draw(t, "people"), rapid.IntRange(1, 28).Draw(t, "per week")
		extra := rota.Extra(n, per)
		met := make(map[[2]int]int)
		who := 0
		for range n {
			for slot := range per {
				met[[2]int{slot, who}]++
				who = (who + 1) % n
			}
			who = (who + extra) % n
		}
		require.Len(t, met, n*per, "each person each slot")
		require.Zero(t, who, "and round again after n weeks")
	})
}

// TestWeeksAreALatinSquare: in each week the chores go to different people, and
// after n weeks each has had each.
func TestWeeksAreALatinSquare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "people")
		from := rapid.IntRange(-50, 50).Draw(t, "from")
		rows, cols := map[[2]int]bool{}, map[[2]int]bool{}
		for week := from; week < from+n; week++ {
			for chore := range n {
				who := rota.Weekly(chore, week, n)
				require.True(t, who >= 0 && who < n)
				rows[[2]int{week, who}], cols[[2]int{chore, who}] = true, true
			}
		}
		require.Len(t, rows, n*n)
		require.Len(t, cols, n*n)
	})
}

func TestNobodyIsFree(t *testing.T) {
	var l rota.Ledger
	require.Zero(t, l.Next(nil))
	require.Zero(t, l.Balance(1).Sign())
	require.Zero(t, rota.Extra(1, 7))
	require.Zero(t, rota.Weekly(2, 3, 1))
	weeks, all := rota.Cycle(0, 7, 0)
	require.Zero(t, weeks)
	require.False(t, all)
}

// BenchmarkLedger is a year of ten chores a day among five people.
func BenchmarkLedger(b *testing.B) {
	free := []rota.Share{{1, 100}, {2, 100}, {3, 100}, {4, 50}, {5, 25}}
	for b.Loop() {
		var l rota.Ledger
		for i := range 3650 {
			p := l.Next(free)
			l.Book(rota.Turn{Effort: 5 + i%7*5, Assigned: p, Doers: []int64{p}, Free: free})
		}
	}
}
