package rota_test

import (
	"encoding/csv"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"yardbell/calc/rota"
)

// row is one line of the check table; people are letters there.
type row struct{ in, want map[string]string }

// TestChecks runs testdata/checks/rota.csv; every row names its source.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/rota.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, row){
		"ledger": checkLedger, "gift": checkLedger, "undone": checkLedger, "booked": checkBooked, "shared": checkOnce, "outside": checkOnce,
		"turns": checkTurns, "weekly": checkWeekly, "slots": checkSlots, "even": checkEven,
	}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0]+" "+r[1], func(t *testing.T) {
			require.NotEmpty(t, r[4])
			require.NotEmpty(t, r[5])
			require.Contains(t, run, r[1])
			run[r[1]](t, row{fields(r[2]), fields(r[3])})
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 39)
}

func fields(text string) map[string]string {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		out[name] = value
	}
	return out
}

func (r row) numbers(t *testing.T, name string) []int {
	t.Helper()
	var out []int
	for f := range strings.FieldsSeq(r.in[name]) {
		n, err := strconv.Atoi(f)
		require.NoError(t, err)
		out = append(out, n)
	}
	return out
}

func id(letter string) int64 { return int64(letter[0]-'A') + 1 }

func letter(id int64) string { return string(rune('A' + id - 1)) }

func letters(ids []int64) string {
	var out []string
	for _, p := range ids {
		out = append(out, letter(p))
	}
	return strings.Join(out, " ")
}

// free are those who are there at a turn, counted from 1: "away=C 4-7".
func (r row) free(t *testing.T, turn int) []rota.Share {
	t.Helper()
	percents := r.numbers(t, "percent")
	var out []rota.Share
	for i, p := range strings.Fields(r.in["people"]) {
		if who, span, ok := strings.Cut(r.in["away"], " "); ok && who == p {
			var from, to int
			_, err := fmt.Sscanf(span, "%d-%d", &from, &to)
			require.NoError(t, err)
			if turn >= from && turn <= to {
				continue
			}
		}
		s := rota.Share{Person: id(p), Percent: 100}
		if len(percents) > 0 {
			s.Percent = percents[i]
		}
		out = append(out, s)
	}
	return out
}

func checkLedger(t *testing.T, r row) {
	var l rota.Ledger
	var assigned, did []int64
	gift, by, _ := strings.Cut(r.in["gift"], " ")
	for i, effort := range r.numbers(t, "efforts") {
		turn := rota.Turn{Effort: effort, Free: r.free(t, i+1)}
		turn.Assigned = l.Next(turn.Free)
		turn.Doers = []int64{turn.Assigned}
		switch strconv.Itoa(i + 1) {
		case gift:
			turn.Doers = []int64{id(by)}
		case r.in["undone"]:
			turn.Doers = nil
		}
		l.Book(turn)
		assigned, did = append(assigned, turn.Assigned), append(did, turn.Doers...)
	}
	if want := r.want["assigned"]; want != "" {
		require.Equal(t, want, letters(assigned))
	}
	if want := r.want["order"]; want != "" {
		require.Equal(t, want, letters(assigned))
	}
	if want := r.want["did"]; want != "" {
		require.Equal(t, want, letters(did))
	}
	r.account(t, &l)
}

func checkBooked(t *testing.T, r row) {
	var l rota.Ledger
	did := strings.Fields(r.in["did"])
	for i, effort := range r.numbers(t, "efforts") {
		l.Book(rota.Turn{Effort: effort, Doers: []int64{id(did[i])}, Free: r.free(t, i+1)})
	}
	r.account(t, &l)
	if r.want["spread"] == "" {
		return
	}
	var loads []rota.Load
	for _, s := range r.free(t, 0) {
		done, _ := l.Done(s.Person).Float64()
		loads = append(loads, rota.Load{Effort: done, Percent: s.Percent})
	}
	require.Equal(t, r.want["spread"], fmt.Sprint(rota.Spread(loads)))
}

func checkOnce(t *testing.T, r row) {
	var l rota.Ledger
	turn := rota.Turn{Effort: r.numbers(t, "effort")[0], Free: r.free(t, 1)}
	for p := range strings.FieldsSeq(r.in["did"]) {
		turn.Doers = append(turn.Doers, id(p))
	}
	l.Book(turn)
	r.account(t, &l)
}

// account compares what each did and owes.
func (r row) account(t *testing.T, l *rota.Ledger) {
	t.Helper()
	var balance, done []string
	for p := range strings.FieldsSeq(r.in["people"]) {
		balance, done = append(balance, l.Balance(id(p)).RatString()), append(done, l.Done(id(p)).RatString())
	}
	if want := r.want["balance"]; want != "" {
		require.Equal(t, want, strings.Join(balance, " "))
	}
	if want := r.want["done"]; want != "" {
		require.Equal(t, want, strings.Join(done, " "))
	}
}

func checkTurns(t *testing.T, r row) {
	var out []int64
	for i := range r.numbers(t, "turns")[0] {
		out = append(out, int64(rota.Weekly(i, 0, r.numbers(t, "n")[0]))+1)
	}
	require.Equal(t, r.want["order"], letters(out))
}

func checkWeekly(t *testing.T, r row) {
	var out []int64
	for week := range strings.Fields(r.want["order"]) {
		out = append(out, int64(rota.Weekly(r.numbers(t, "chore")[0], week, r.numbers(t, "n")[0]))+1)
	}
	require.Equal(t, r.want["order"], letters(out))
}

func checkSlots(t *testing.T, r row) {
	n, per := r.numbers(t, "n")[0], r.numbers(t, "perweek")[0]
	extra := rota.Extra(n, per)
	require.Equal(t, r.want["extra"], strconv.Itoa(extra))
	weeks, all := rota.Cycle(n, per, extra)
	require.True(t, all)
	require.Equal(t, n, weeks)
	if want := r.want["weeks"]; want != "" {
		require.Equal(t, want, strconv.Itoa(weeks))
	}
	plain, all := rota.Cycle(n, per, 0)
	require.Equal(t, extra == 0, all)
	if want := r.want["plain"]; want != "" {
		require.Equal(t, want, strconv.Itoa(plain))
	}
}

func checkEven(t *testing.T, r row) {
	percents := r.numbers(t, "percent")
	var loads []rota.Load
	for i, x := range r.numbers(t, "loads") {
		l := rota.Load{Effort: float64(x), Percent: 100}
		if len(percents) > 0 {
			l.Percent = percents[i]
		}
		loads = append(loads, l)
	}
	spread, err := strconv.ParseFloat(r.want["spread"], 64)
	require.NoError(t, err)
	require.InDelta(t, spread, rota.Spread(loads), 1e-9)
	jain, err := strconv.ParseFloat(r.want["jain"], 64)
	require.NoError(t, err)
	require.InDelta(t, jain, rota.Jain(loads), 5e-5)
}
