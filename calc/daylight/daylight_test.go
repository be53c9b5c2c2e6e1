package daylight_test

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/daylight"
)

// TestTable runs testdata/checks/daylight.csv; every row names its source.
func TestTable(t *testing.T) {
	f, err := os.Open("../../testdata/checks/daylight.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, map[string]string, map[string]string, float64){"length": length, "ten_hours": tenHours, "sunrise": sunrise}
	for _, row := range rows[1:] {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			require.NotEmpty(t, row[5])
			run[row[1]](t, fields(row[2]), fields(row[3]), number(t, row[4]))
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 43)
}

func fields(text string) map[string]string {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		out[name] = value
	}
	return out
}

func number(t *testing.T, text string) float64 {
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err)
	return f
}

func date(t *testing.T, text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return d
}

func length(t *testing.T, in, want map[string]string, tolerance float64) {
	got, err := daylight.Length(number(t, in["lat"]), date(t, in["date"]))
	require.NoError(t, err)
	require.InDelta(t, number(t, want["minutes"]), got.Minutes(), tolerance)
}

func sunrise(t *testing.T, in, want map[string]string, tolerance float64) {
	got, err := daylight.SunOn(number(t, in["lat"]), 0, date(t, in["date"]))
	require.NoError(t, err)
	require.InDelta(t, number(t, want["minutes"]), got.Rise.Sub(date(t, in["date"])).Minutes(), tolerance)
}

func tenHours(t *testing.T, in, want map[string]string, _ float64) {
	short, err := daylight.Short(number(t, in["lat"]), 10, date(t, in["year"]+"-08-01"))
	require.NoError(t, err)
	require.Len(t, short, 1)
	require.Equal(t, want["last"], short[0].First.AddDate(0, 0, -1).Format(time.DateOnly))
	require.Equal(t, want["first"], short[0].Last.AddDate(0, 0, 1).Format(time.DateOnly))
	days := short[0].Last.Sub(short[0].First).Hours()/24 + 1
	require.InDelta(t, number(t, want["days"]), days, 0.1)
}

func TestNeverShort(t *testing.T) {
	for _, lat := range []float64{0, 20, 32, -32} {
		short, err := daylight.Short(lat, 10, date(t, "2026-08-01"))
		require.NoError(t, err)
		require.Empty(t, short, "%g", lat)
	}
}

func TestPoles(t *testing.T) {
	for _, c := range []struct {
		lat      float64
		date     string
		up, down bool
	}{{90, "2027-06-21", true, false}, {-90, "2027-06-21", false, true}, {70, "2027-12-22", false, true}, {-70, "2027-12-22", true, false}, {57, "2027-06-21", false, false}} {
		s, err := daylight.SunOn(c.lat, 10, date(t, c.date))
		require.NoError(t, err)
		require.Equal(t, c.up, s.Up, "%+v", c)
		require.Equal(t, c.down, s.Down, "%+v", c)
	}
}

func TestRefuses(t *testing.T) {
	for _, lat := range []float64{90.1, -91, math.NaN(), math.Inf(1)} {
		_, err := daylight.Length(lat, date(t, "2027-01-01"))
		require.ErrorIs(t, err, daylight.ErrPlace)
		_, _, err = daylight.OnionClass(lat)
		require.ErrorIs(t, err, daylight.ErrPlace)
		_, err = daylight.Short(lat, 10, date(t, "2027-01-01"))
		require.ErrorIs(t, err, daylight.ErrPlace)
	}
	for _, lon := range []float64{181, math.NaN()} {
		_, err := daylight.SunOn(10, lon, date(t, "2027-01-01"))
		require.ErrorIs(t, err, daylight.ErrPlace)
	}
}

// TestHemispheres: half a year apart the halves of the world have the same days,
// within the few minutes that the earth's orbit makes.
func TestHemispheres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(0, 60).Draw(t, "lat")
		d := time.Date(2027, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 364).Draw(t, "day"))
		north, err := daylight.Length(lat, d)
		require.NoError(t, err)
		south, err := daylight.Length(-lat, d.AddDate(0, 0, 183))
		require.NoError(t, err)
		require.InDelta(t, north.Minutes(), south.Minutes(), 25)
		summer := d.Month() >= 4 && d.Month() <= 8
		further, err := daylight.Length(lat+3, d)
		require.NoError(t, err)
		if summer {
			require.GreaterOrEqual(t, further, north-time.Second)
		}
	})
}

// TestOnionClass: the classes by latitude (common practice).
func TestOnionClass(t *testing.T) {
	for lat, want := range map[float64]string{57.2: "long-day", -45: "long-day", 40: "long-day or intermediate", 34: "intermediate", 29: "short-day", 0: "short-day"} {
		got, why, err := daylight.OnionClass(lat)
		require.NoError(t, err)
		require.Equal(t, want, got, "%g", lat)
		require.NotEmpty(t, why)
	}
}
