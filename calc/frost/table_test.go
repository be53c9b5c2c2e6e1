package frost

import (
	"encoding/csv"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// TestTable runs testdata/checks/frost.csv; every row names its source.
func TestTable(t *testing.T) {
	text, err := os.ReadFile("../../testdata/checks/frost.csv")
	require.NoError(t, err)
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	require.NoError(t, err)
	c := checks{cities: cities(t)}
	run := map[string]func(*testing.T, map[string]string, map[string]string, float64){
		"calendar year": c.calendarYear, "four years": c.fourYears, "strictly below": c.strictlyBelow, "cold season": c.coldSeason,
		"quantile": quantileRow, "normals": normalsRow, "file": fileRow, "degree days": degreeDaysRow, "heat": c.heat,
	}
	ran := 0
	for _, row := range rows[1:] {
		t.Run(row[0]+" "+row[1], func(t *testing.T) {
			require.NotEmpty(t, row[5])
			require.Contains(t, run, row[1])
			run[row[1]](t, fields(row[2]), fields(row[3]), float(t, row[4]))
			ran++
		})
	}
	t.Logf("%d rows ran", ran)
	require.Equal(t, 71, ran)
}

func fields(text string) map[string]string {
	out := map[string]string{}
	for part := range strings.SplitSeq(text, ";") {
		name, value, _ := strings.Cut(part, "=")
		out[name] = value
	}
	return out
}

func float(t *testing.T, text string) float64 {
	f, err := strconv.ParseFloat(text, 64)
	require.NoError(t, err, text)
	return f
}

func whole(t *testing.T, text string) int {
	n, err := strconv.Atoi(text)
	require.NoError(t, err, text)
	return n
}

func ints(t *testing.T, text string) []int {
	var out []int
	for _, f := range strings.Fields(text) {
		out = append(out, whole(t, f))
	}
	return out
}

// cities reads the two places of testdata/checks/frost-daily.csv, each as a plain table.
func cities(t *testing.T) map[string]Series {
	text, err := os.ReadFile("../../testdata/checks/frost-daily.csv")
	require.NoError(t, err)
	out := map[string]Series{}
	for _, place := range []string{"Seattle", "New York"} {
		var one strings.Builder
		for line := range strings.Lines(string(text)) {
			if !strings.Contains("SeattleNew York", strings.SplitN(line, ",", 2)[0]) || strings.HasPrefix(line, place+",") {
				one.WriteString(line)
			}
		}
		s, r, err := Read(one.String(), Celsius)
		require.NoError(t, err)
		require.Equal(t, Report{
			Format: "plain table", Station: place, Kept: 1461, Unit: Celsius,
			First: time.Date(2012, 1, 1, 0, 0, 0, 0, time.UTC), Last: time.Date(2015, 12, 31, 0, 0, 0, 0, time.UTC),
		}, r)
		out[place] = s
	}
	_, _, err = Read(string(text), Celsius)
	require.ErrorIs(t, err, ErrStations)
	return out
}

type checks struct{ cities map[string]Series }

func (c checks) summers(t *testing.T, in map[string]string, less int) []summer {
	return summers(c.cities[in["place"]], whole(t, in["threshold"])-less, false)
}

func (c checks) summer(t *testing.T, in map[string]string, less int) summer {
	all := c.summers(t, in, less)
	i := slices.IndexFunc(all, func(y summer) bool { return y.year == whole(t, in["year"]) })
	require.GreaterOrEqual(t, i, 0)
	return all[i]
}

// inYear is the first freeze as far as it comes before New Year.
func (y summer) inYear() (time.Time, bool) {
	d := y.first.date()
	return d, d.Year() == y.year
}

const monthDayForm = "01-02"

// calendarYear: freezes up to July and from August of the same year. The record ends
// with 2015, so that a first freeze not found then is not known, and never "none".
func (c checks) calendarYear(t *testing.T, in, want map[string]string, _ float64) {
	y := c.summer(t, in, 0)
	require.True(t, y.last.valid)
	require.Equal(t, in["year"]+"-"+want["last"], y.last.date().Format(time.DateOnly))
	first, ok := y.inYear()
	if want["first"] == "none" {
		require.False(t, ok)
		require.Equal(t, y.year != 2015, y.first.valid)
		return
	}
	require.True(t, ok && y.first.valid)
	require.Equal(t, want["first"], first.Format(monthDayForm))
	require.Equal(t, whole(t, want["days"]), y.first.day-y.last.day-1)
}

func (c checks) fourYears(t *testing.T, in, want map[string]string, _ float64) {
	var lasts, firsts []int
	for _, y := range c.summers(t, in, 0) {
		if y.year < 2012 || y.year > 2015 {
			continue
		}
		lasts = y.last.add(lasts, false)
		if _, ok := y.inYear(); ok {
			firsts = y.first.add(firsts, false)
		}
	}
	slices.Sort(lasts)
	slices.Sort(firsts)
	show := func(days []int, tenths int) string { return show(monthDay(quantile(days, tenths, 10).near(), false)) }
	require.Equal(t, want["last"], fmt.Sprintf("late %s, middle %s, early %s", show(lasts, 9), show(lasts, 5), show(lasts, 1)))
	require.Equal(t, want["first"], fmt.Sprintf("early %s, middle %s, late %s", show(firsts, 1), show(firsts, 5), show(firsts, 9)))
}

func show(m MonthDay) string { return m.In(2001).Format(monthDayForm) }

// strictlyBelow: what the dates would be if an equal minimum did not count.
func (c checks) strictlyBelow(t *testing.T, in, want map[string]string, _ float64) {
	require.Equal(t, want["last"], c.summer(t, in, 1).last.date().Format(monthDayForm))
	require.NotEqual(t, want["last"], c.summer(t, in, 0).last.date().Format(monthDayForm))
}

func (c checks) coldSeason(t *testing.T, in, want map[string]string, _ float64) {
	in["year"] = in["season"]
	require.Equal(t, want["first"], c.summer(t, in, 0).first.date().Format(time.DateOnly))
	in["year"] = strconv.Itoa(whole(t, in["season"]) + 1)
	require.Equal(t, want["last"], c.summer(t, in, 0).last.date().Format(time.DateOnly))
}

func quantileRow(t *testing.T, in, want map[string]string, tolerance float64) {
	list := ints(t, in["list"])
	require.Len(t, list, 30)
	slices.Sort(list)
	require.InDelta(t, float(t, want["value"]), quantile(list, whole(t, in["tenths"]), 10).value(), tolerance)
}

// normalsRow makes a record that freezes on the listed days of a 365-day year alone.
func normalsRow(t *testing.T, in, want map[string]string, tolerance float64) {
	first := number(1970, time.January, 1)
	values := make([]int16, number(1999, time.December, 31)-first+1)
	for i := range values {
		values[i] = 50
	}
	for _, list := range []string{in["lasts"], in["firsts"]} {
		for i, d := range ints(t, list) {
			m := time.Date(2001, time.January, d, 0, 0, 0, 0, time.UTC)
			values[number(1970+i, m.Month(), m.Day())-first] = 0
		}
	}
	n, err := Compute(trimmed(first, values, make([]int16, len(values))), whole(t, in["threshold"]), false)
	require.NoError(t, err)
	require.Len(t, n.Seasons, 30)
	require.False(t, n.Rough)
	require.Zero(t, n.Invalid)
	require.Equal(t, want["last"], fmt.Sprintf("late %s, middle %s, early %s", show(n.Last.Late), show(n.Last.Middle), show(n.Last.Early)))
	require.Equal(t, want["first"], fmt.Sprintf("early %s, middle %s, late %s", show(n.First.Early), show(n.First.Middle), show(n.First.Late)))
	lengths := strings.Fields(want["length"])
	require.InDelta(t, float(t, lengths[0]), n.Length.Shorter, tolerance)
	require.InDelta(t, float(t, lengths[1]), n.Length.Middle, tolerance)
	require.InDelta(t, float(t, lengths[2]), n.Length.Longer, tolerance)
}

func fileRow(t *testing.T, in, want map[string]string, _ float64) {
	s, r, err := Read(strings.ReplaceAll(in["text"], "|", "\n"), Unsaid)
	require.NoError(t, err)
	require.Equal(t, Celsius, r.Unit)
	require.Equal(t, "USC00999999", r.Station)
	got := map[string]string{"kept": strconv.Itoa(r.Kept), "missing": strconv.Itoa(r.Missing), "flagged": strconv.Itoa(r.Flagged)}
	for name := range want {
		if day, err := time.Parse(time.DateOnly, name); err == nil {
			got[name] = "none"
			if v, ok := s.Min(day); ok {
				got[name] = strconv.Itoa(v)
			}
		}
		if threshold, ok := strings.CutPrefix(name, "last "); ok {
			e := s.look(number(2027, time.May, 31), number(2027, time.May, 1), -1, whole(t, threshold))
			got[name] = e.date().Format(monthDayForm)
		}
	}
	require.Equal(t, want, got)
}

func degreeDaysRow(t *testing.T, in, want map[string]string, tolerance float64) {
	got, err := DegreeDays(float(t, in["min"]), float(t, in["max"]), float(t, in["base"]), float(t, in["upper"]))
	require.NoError(t, err)
	require.InDelta(t, float(t, want["sum"]), got, tolerance)
}

func (c checks) heat(t *testing.T, in, want map[string]string, tolerance float64) {
	from, err := time.Parse(time.DateOnly, in["year"]+"-"+in["from"])
	require.NoError(t, err)
	to, err := time.Parse(time.DateOnly, in["year"]+"-"+in["to"])
	require.NoError(t, err)
	sum, missing := c.cities[in["place"]].Heat(from, to, float(t, in["base"]), float(t, in["upper"]))
	require.Zero(t, missing)
	require.InDelta(t, float(t, want["sum"]), sum, tolerance)
}

// TestNinePointNineBelow: in tenths -99 is a temperature, and -9999 none.
func TestNinePointNineBelow(t *testing.T) {
	text := "STATION,DATE,TMAX,TMAX_ATTRIBUTES,TMIN,TMIN_ATTRIBUTES\nUSC00999999,2020-01-01,\"  -50\",\",,W\",\"  -99\",\",,W\"\nUSC00999999,2020-01-02,\"  -50\",\",,W\",\"-9999\",\",,W\"\nUSC00999999,2020-01-03,\"  148\",\",,W\",\"   12\",\",,W\"\n"
	s, report, err := Read(text, Unsaid)
	require.NoError(t, err)
	require.Equal(t, 1, report.Missing)
	v, ok := s.Min(time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC))
	require.True(t, ok)
	require.Equal(t, -99, v)
}
