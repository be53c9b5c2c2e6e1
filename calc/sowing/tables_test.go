package sowing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestCropTable(t *testing.T) {
	crops, err := readCrops(cropsCSV)
	require.NoError(t, err)
	require.Len(t, crops, 101)
	seen := map[string]bool{}
	for _, c := range crops {
		require.False(t, seen[c.Name], c.Name)
		seen[c.Name] = true
		require.NotEmpty(t, c.Source, c.Name)
		require.NotEmpty(t, c.Mark, c.Name)
		if c.Hardiness >= Tender && c.Transplant.Known {
			require.GreaterOrEqual(t, c.Transplant.N, 0.0, c.Name)
		}
	}
	for name := range tableCrops {
		require.True(t, seen[name], name)
	}
	for _, name := range springCrops {
		require.True(t, seen[name], name)
	}
}

func TestGerminationTable(t *testing.T) {
	rows, err := readSoilRows(germinationCSV)
	require.NoError(t, err)
	require.Len(t, rows, 24)
	used := map[string]bool{}
	for crop, name := range tableCrops {
		require.Contains(t, rows, name, crop)
		require.Contains(t, heatRows(), name, crop)
		used[name] = true
	}
	require.Len(t, used, 24)
	for name, row := range rows {
		low, high := row.tested()
		for i, d := range row.days {
			at := float64(i * tableStep)
			require.Equal(t, at < low || at > high, math.IsNaN(d), "%s has a gap", name)
			if !math.IsNaN(d) {
				require.Positive(t, d)
			}
		}
	}
}

// TestOwnTables: every row names a crop that is there, in order, with its source and mark.
func TestOwnTables(t *testing.T) {
	for what, text := range map[string]string{"seed weights": weightCSV, "heat": heatCSV, "keeping": keepingCSV, "succession": successionCSV, "thermal": thermalCSV} {
		rows, err := rowsOf(what, text)
		require.NoError(t, err)
		seen := map[string]bool{}
		for _, r := range rows {
			name := r.text("crop")
			require.False(t, seen[name], "%s: %s twice", what, name)
			seen[name] = true
			if what != "thermal" {
				_, ok := Named(name)
				require.True(t, ok, "%s: %s", what, name)
			}
			require.NotEmpty(t, r.text("source"))
			require.NotEmpty(t, r.text("mark"))
			require.NoError(t, r.err)
		}
	}
	for _, e := range weights() {
		require.Positive(t, e.a)
		require.LessOrEqual(t, e.a, e.b)
	}
	for _, e := range successions() {
		require.Positive(t, e.From)
		require.LessOrEqual(t, e.From, e.To)
	}
	require.Len(t, heatRows(), 24)
	for name, h := range heatRows() {
		require.Greater(t, h.top, h.base, name)
		require.Positive(t, h.sum, name)
	}
	for name, e := range heats() {
		require.Positive(t, e.a, name)
	}
	for name, e := range keepings() {
		require.NotEmpty(t, e.ready+e.cure+e.store, name)
	}
}

// TestThermalFitsTheTable: the fits give back the days of the table within the largest
// error that their rows name.
func TestThermalFitsTheTable(t *testing.T) {
	rows, err := rowsOf("thermal table", thermalCSV)
	require.NoError(t, err)
	for _, r := range rows {
		name := r.text("crop")
		low, high, base, sum := r.number("from_C"), r.number("to_C"), r.number("base_C"), r.number("sum_C_days")
		worst := 0.0
		for at := low; at <= high; at += tableStep {
			days := soilRows()[name].at(at, name).Days
			worst = max(worst, math.Abs(sum/(at-base)/days-1)*100)
		}
		// base and sum are rounded: a point near the base shifts by a few per cent
		require.InDelta(t, r.number("largest_error_pct"), worst, 2.5, name)
	}
}

func TestBadTables(t *testing.T) {
	for name, text := range map[string]string{
		"nothing":   "",
		"no rows":   "crop\n",
		"ragged":    "crop,method\nx\n",
		"no column": "crop,method\nx,indoor\n",
	} {
		_, err := readCrops(text)
		require.Error(t, err, name)
		_, err = readSoilRows(text)
		require.Error(t, err, name)
		_, err = readHeatRows(text)
		require.Error(t, err, name)
		_, err = readSuccessions(text)
		require.Error(t, err, name)
		_, err = readEntries(name, text, "a", "b")
		require.Error(t, err, name)
	}
	_, err := readHeatRows("crop,to_C,base_C,sum_C_days\nx,NaN,1,1\n")
	require.Error(t, err)
}

// FuzzReadCrops: a table is refused or every crop in it passes its own check.
func FuzzReadCrops(f *testing.F) {
	f.Add(cropsCSV)
	f.Add("crop,method\nx,indoor\n")
	f.Fuzz(func(t *testing.T, text string) {
		crops, err := readCrops(text)
		if err != nil {
			return
		}
		for _, c := range crops {
			if err := c.Check(); err != nil {
				t.Fatal(err)
			}
		}
	})
}
