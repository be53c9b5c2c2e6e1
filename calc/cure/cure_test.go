package cure_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/cure"
)

// fall is when a step first and last falls due, from the pour.
type fall struct{ first, last time.Duration }

// falls walks the plan as its comment says: a wait counts from the last time of
// the step before it.
func falls(t *testing.T) map[cure.Step]fall {
	t.Helper()
	out := map[cure.Step]fall{}
	for _, d := range cure.Plan() {
		first := d.Wait
		if d.After != "" {
			before, ok := out[d.After]
			require.True(t, ok, "%s comes before %s, on which it hangs", d.Step, d.After)
			first += before.last
		}
		out[d.Step] = fall{first, first + d.Every*time.Duration(max(d.Times-1, 0))}
	}
	return out
}

// TestOrder: the order of the work is common practice: out of the mould, cut,
// turned and weighed, checked, used.
func TestOrder(t *testing.T) {
	want := []cure.Step{cure.Unmould, cure.Cut, cure.Turn, cure.Weigh, cure.Check, cure.Ready}
	due := falls(t)
	var got []cure.Step
	var before time.Duration
	for _, d := range cure.Plan() {
		got = append(got, d.Step)
		require.GreaterOrEqual(t, due[d.Step].first, before, "%s falls due before the step listed before it", d.Step)
		before = due[d.Step].first
	}
	require.Equal(t, want, got)
}

func TestNoStepBeforeTheOneItHangsOn(t *testing.T) {
	due := falls(t)
	for _, d := range cure.Plan() {
		t.Run(string(d.Step), func(t *testing.T) {
			require.Positive(t, d.Wait)
			if d.After != "" {
				require.Greater(t, due[d.Step].first, due[d.After].last)
			}
		})
	}
}

// TestWaits: every bound is common practice of cold-process soap.
func TestWaits(t *testing.T) {
	const day, week = 24 * time.Hour, 7 * 24 * time.Hour
	due := falls(t)
	tests := []struct {
		name     string
		got      time.Duration
		min, max time.Duration
	}{
		{"out of the mould", due[cure.Unmould].first, 18 * time.Hour, 48 * time.Hour},             // common practice: 18 to 48 h
		{"cut soon after", due[cure.Cut].first - due[cure.Unmould].last, 1, 2 * day},              // common practice: at once to two days later
		{"turned within a week of the cut", due[cure.Turn].first - due[cure.Cut].last, day, week}, // common practice: weekly
		{"weighed within a week of the cut", due[cure.Weigh].first - due[cure.Cut].last, 1, week}, // common practice: weekly
		{"checked near the end", due[cure.Check].first, 4 * week, 6 * week},                       // common practice: from four weeks
		{"ready", due[cure.Ready].first, 4 * week, 6 * week},                                      // common practice: four to six weeks
		{"turned until ready", due[cure.Ready].first - due[cure.Turn].last, 0, week},              // common practice: weekly to the end
		{"weighed until ready", due[cure.Ready].first - due[cure.Weigh].last, 0, week},            // common practice: weekly to the end
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			require.GreaterOrEqual(t, tt.got, tt.min)
			require.LessOrEqual(t, tt.got, tt.max)
		})
	}
}

// TestRepeats: turning and weighing are weekly (common practice), the rest is
// done once. Only what hangs on the hour of the pour is not set to a day.
func TestRepeats(t *testing.T) {
	weekly := map[cure.Step]bool{cure.Turn: true, cure.Weigh: true}
	hourly := map[cure.Step]bool{cure.Unmould: true, cure.Cut: true}
	for _, d := range cure.Plan() {
		t.Run(string(d.Step), func(t *testing.T) {
			require.Equal(t, hourly[d.Step], !d.Daily)
			if !weekly[d.Step] {
				require.Zero(t, d.Every)
				require.Zero(t, d.Times)
				return
			}
			require.Equal(t, 7*24*time.Hour, d.Every)
			require.Greater(t, d.Times, 1)
		})
	}
}

// TestPlanIsFresh: a caller that moves a step must not move it for the next.
func TestPlanIsFresh(t *testing.T) {
	cure.Plan()[0].Wait = 0
	require.NotZero(t, cure.Plan()[0].Wait)
}
