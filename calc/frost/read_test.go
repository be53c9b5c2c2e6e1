package frost_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/frost"
)

func day(t require.TestingT, text string) time.Time {
	d, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return d
}

// fixedLine is a line of the fixed-width form with the same value on every day that
// the month has.
func fixedLine(id string, year, month int, element string, tenths func(day int) int) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s%04d%02d%s", id, year, month, element)
	days := time.Date(year, time.Month(month)+1, 0, 0, 0, 0, 0, time.UTC).Day()
	for d := 1; d <= 31; d++ {
		if d > days {
			b.WriteString("-9999   ")
			continue
		}
		fmt.Fprintf(&b, "%5d  0", tenths(d))
	}
	return b.String()
}

func steady(v int) func(int) int { return func(int) int { return v } }

// TestReads: files as they come, and what is in them.
func TestReads(t *testing.T) {
	access := `"STATION","DATE","LATITUDE","LONGITUDE","ELEVATION","NAME","TMAX","TMAX_ATTRIBUTES","TMIN","TMIN_ATTRIBUTES"` + "\n" +
		`"UK000000001","2027-05-01","57.2","-3.7","200.0","MADE UP, UK","  120",",,W","   -6","H,,W,0900"` + "\n" +
		`"UK000000001","2027-05-02","57.2","-3.7","200.0","MADE UP, UK","",""," -250",",I,W"` + "\n" +
		`"UK000000001","2027-05-03","57.2","-3.7","200.0","MADE UP, UK","  110",",,W","",""` + "\n"
	february := fixedLine("UK000000001", 2027, 2, "TMIN", steady(-6))
	for _, c := range []struct {
		name, text string
		unit       frost.Unit
		want       frost.Report
		min, max   map[string]int
	}{
		{
			"plain, commas, no names", "2027-05-01,-0.6\n2027-05-02,1.1\n", frost.Celsius,
			frost.Report{Format: "plain table", Kept: 2, Unit: frost.Celsius},
			map[string]int{"2027-05-01": -6, "2027-05-02": 11},
			nil,
		},
		{
			"decimal comma, semicolons, carriage returns, mark of order, blanks", "\ufeffDate;Tmin (°C);Tmax (°C)\r\n2027-05-02;1,1;12,5  \r\n2027-05-01;-0,6;11\r\n\r\n", frost.Unsaid,
			frost.Report{Format: "plain table", Kept: 2, Unit: frost.Celsius},
			map[string]int{"2027-05-01": -6, "2027-05-02": 11},
			map[string]int{"2027-05-01": 110, "2027-05-02": 125},
		},
		{
			"tabs, decimal comma, a degree sign in an older coding", "Date\tTmin \xb0C\n2027-05-01\t-0,6\n", frost.Unsaid,
			frost.Report{Format: "plain table", Kept: 1, Unit: frost.Celsius},
			map[string]int{"2027-05-01": -6},
			nil,
		},
		{
			"Fahrenheit in the name", "date,high_F,low_F\n2027-05-01,60,36\n2027-05-02,61,32\n2027-05-03,61,28\n2027-05-04,61,NA\n", frost.Unsaid,
			frost.Report{Format: "plain table", Kept: 3, Missing: 1, Unit: frost.Fahrenheit},
			map[string]int{"2027-05-01": frost.Frost, "2027-05-02": frost.Freeze, "2027-05-03": frost.HardFreeze},
			map[string]int{"2027-05-01": 156, "2027-05-02": 161, "2027-05-03": 161},
		},
		{
			"unit beside the values", "2027-05-01,28 °F\n2027-05-02,28F\n2027-05-03,28 deg f\n", frost.Unsaid,
			frost.Report{Format: "plain table", Kept: 3, Unit: frost.Fahrenheit},
			map[string]int{"2027-05-01": -22, "2027-05-02": -22, "2027-05-03": -22},
			nil,
		},
		{
			"minus sign of print, other columns", "Day,Rain,Grass min,Humidity low,Low,High\n2027-05-01,3,-4,30,\u22120.6,9\n", frost.Celsius,
			frost.Report{Format: "plain table", Kept: 1, Unit: frost.Celsius},
			map[string]int{"2027-05-01": -6},
			map[string]int{"2027-05-01": 90},
		},
		{
			"day first, out of order, doubled", "date,min\n13/05/2027,2.0\n01/05/2027,1.0\n01/05/2027,1.0\n", frost.Celsius,
			frost.Report{Format: "plain table", Kept: 2, Doubled: 1, Unit: frost.Celsius},
			map[string]int{"2027-05-01": 10, "2027-05-13": 20},
			nil,
		},
		{
			"month first, with a time", "date,min\n5/1/2027 0:00,1.0\n5/13/2027 0:00,2.0\n", frost.Celsius,
			frost.Report{Format: "plain table", Kept: 2, Unit: frost.Celsius},
			map[string]int{"2027-05-01": 10, "2027-05-13": 20},
			nil,
		},
		{
			"fixed width, with rain, blanks at the end gone", february + "\n" + fixedLine("UK000000001", 2027, 2, "PRCP", steady(30)) + "\n" + fixedLine("UK000000001", 2027, 2, "TMAX", steady(90))[:266] + "\n", frost.Fahrenheit,
			frost.Report{Format: "GHCN-Daily, fixed width", Station: "UK000000001", Kept: 28, OtherElements: 1, Unit: frost.Celsius},
			map[string]int{"2027-02-01": -6, "2027-02-28": -6},
			map[string]int{"2027-02-01": 90, "2027-02-28": 90},
		},
		{
			"a row a value, with names", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\nUK000000001,20270501,TMIN,-6,,,W,\nUK000000001,20270501,TMAX,95,,,W,\nUK000000001,20270502,PRCP,95,,,W,\nUK000000001,20270502,TMIN,-9999,,,,\n", frost.Unsaid,
			frost.Report{Format: "GHCN-Daily CSV, a row a value", Station: "UK000000001", Kept: 1, Missing: 1, OtherElements: 1, Unit: frost.Celsius},
			map[string]int{"2027-05-01": -6},
			map[string]int{"2027-05-01": 95},
		},
		{
			"a row a day", access, frost.Unsaid,
			frost.Report{Format: "GHCN-Daily CSV, a row a day", Station: "UK000000001 MADE UP, UK", Kept: 1, Missing: 1, Flagged: 1, Unit: frost.Celsius},
			map[string]int{"2027-05-01": -6},
			map[string]int{"2027-05-01": 120},
		},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, r, err := frost.Read(c.text, c.unit)
			require.NoError(t, err)
			first, last := s.Span()
			require.Equal(t, first, r.First)
			require.Equal(t, last, r.Last)
			r.First, r.Last = time.Time{}, time.Time{}
			require.Equal(t, c.want, r)
			for d, want := range c.min {
				got, ok := s.Min(day(t, d))
				require.True(t, ok, d)
				require.Equal(t, want, got, d)
			}
			for d, want := range c.max {
				got, ok := s.Max(day(t, d))
				require.True(t, ok, d)
				require.Equal(t, want, got, d)
			}
			_, ok := s.Min(last.AddDate(0, 0, 1))
			require.False(t, ok)
		})
	}
}

// converted is a year of a file with a row a day as a download service turns it into
// whole degrees F.
func converted() string {
	var b strings.Builder
	b.WriteString("STATION,DATE,TMIN,TMIN_ATTRIBUTES\n")
	for d := range 400 {
		fmt.Fprintf(&b, "UK000000001,%s,%d,\"H,,S\"\n", time.Date(2026, 1, 1+d, 0, 0, 0, 0, time.UTC).Format(time.DateOnly), 20+d%50)
	}
	return b.String()
}

// TestRefuses: each wrong file has its own error, which says what is wrong, and leaves
// nothing behind.
func TestRefuses(t *testing.T) {
	line := fixedLine("UK000000001", 2027, 5, "TMIN", steady(-16))
	long := "UK000000001,20270501,TMIN,-6,,,W,\n"
	for _, c := range []struct {
		name, text string
		unit       frost.Unit
		want       error
		says       string
	}{
		{"empty", "", frost.Celsius, frost.ErrEmpty, ""},
		{"blank", "\ufeff \r\n\n", frost.Celsius, frost.ErrEmpty, ""},
		{"only remarks", "# weather\n", frost.Celsius, frost.ErrEmpty, ""},
		{"only names", "date,min\n", frost.Celsius, frost.ErrEmpty, "no rows"},
		{"only long names", "ID,DATE,ELEMENT,DATA_VALUE,M_FLAG,Q_FLAG,S_FLAG,OBS_TIME\n", frost.Celsius, frost.ErrNoMinima, "DATA_VALUE"},
		{"gzip", "\x1f\x8b\x08\x00\x00rest", frost.Celsius, frost.ErrNotText, "gzip"},
		{"spreadsheet", "PK\x03\x04rest", frost.Celsius, frost.ErrNotText, "spreadsheet"},
		{"PDF", "%PDF-1.7", frost.Celsius, frost.ErrNotText, "PDF"},
		{"zero bytes", "2027-05-01,1\x00\n", frost.Celsius, frost.ErrNotText, "zero"},
		{"picture", "\xff\xd8\xff\xe0\xff\xd8\xff\xe0\xff\xd8 x", frost.Celsius, frost.ErrNotText, "no letters"},
		{"web page", "\n<!DOCTYPE html>\n<html><body>Not found</body></html>", frost.Celsius, frost.ErrNoMinima, "web page"},
		{"no minimum", "date,rain,wind\n2027-05-01,1,2\n", frost.Celsius, frost.ErrNoMinima, "date, rain, wind"},
		{"no date", "year,month,day,min\n2027,5,1,2\n", frost.Celsius, frost.ErrNoMinima, "year, month, day, min"},
		{"two minima", "date,tmin_c,tmin_f\n2027-05-01,1,34\n", frost.Celsius, frost.ErrNoMinima, "more than one"},
		{"too many columns", "2027-05-01,1,2,3\n", frost.Celsius, frost.ErrNoMinima, "seen: 4"},
		{"one column", "2027-05-01\n", frost.Celsius, frost.ErrNoMinima, "seen: 1"},
		{"rain alone", "UK000000001,20270501,PRCP,6,,,W,\nUK000000001,20270501,TMAX,60,,,W,\n", frost.Unsaid, frost.ErrNoMinima, "PRCP, TMAX"},
		{"all missing", "2027-05-01,NA\n2027-05-02,-9999\n", frost.Celsius, frost.ErrNoMinima, "missing"},
		{"not a number", "date,min\n2027-05-01,1\n2027-05-02,cold\n", frost.Celsius, frost.ErrBadRows, "line 3"},
		{"hexadecimal", "date,min\n2027-05-01,0x1p4\n", frost.Celsius, frost.ErrBadRows, "0x1p4"},
		{"no such date", "date,min\n2027-02-29,1\n", frost.Celsius, frost.ErrBadRows, "2027-02-29"},
		{"no such year", "date,min\n1027-02-28,1\n", frost.Celsius, frost.ErrBadRows, "1027"},
		{"year of two digits", "date,min\n01/05/27,1\n", frost.Celsius, frost.ErrBadRows, "01/05/27"},
		{"short row", "date,min,max\n2027-05-01,1,2\n2027-05-02,1\n", frost.Celsius, frost.ErrBadRows, "3 columns"},
		{"open quotation", "date,min\n2027-05-01,\"1\n", frost.Celsius, frost.ErrBadRows, "line 2"},
		{"maximum first", "2027-05-01,12,2\n", frost.Celsius, frost.ErrBadRows, "above the maximum"},
		{"twice", "2027-05-01,1\n2027-05-01,2\n", frost.Celsius, frost.ErrBadRows, "2027-05-01 was there before"},
		{"month that is none", line + "\n" + strings.Replace(line, "202705", "202713", 1), frost.Unsaid, frost.ErrBadRows, "2027-13"},
		{"cut in a value", line + "\n" + strings.Replace(line, "202705", "202706", 1)[:21+8*3+4], frost.Unsaid, frost.ErrBadRows, "cut short at day 4"},
		{"cut between values", line[:21+8*3], frost.Unsaid, frost.ErrBadRows, "cut short at day 4"},
		{"cut in the head", line + "\n" + line[:17], frost.Unsaid, frost.ErrBadRows, "line 2"},
		{"too long", line + "  7", frost.Unsaid, frost.ErrBadRows, "longer"},
		{"value on a day that is none", strings.Replace(line, "202705", "202706", 1), frost.Unsaid, frost.ErrBadRows, "day 31"},
		{"letters in a value", strings.Replace(line, "  -16", "  x16", 1), frost.Unsaid, frost.ErrBadRows, "x16"},
		{"long with a wrong date", long + "UK000000001,20270532,TMIN,-6,,,W,\n", frost.Unsaid, frost.ErrBadRows, "20270532"},
		{"long with a wrong first row", "UK000000001,2027050,TMIN,-6,,,W,\n" + long, frost.Unsaid, frost.ErrBadRows, "line 1"},
		{"long with a decimal", long + "UK000000001,20270502,TMIN,-6.0,,,W,\n", frost.Unsaid, frost.ErrBadRows, "-6.0"},
		{"long cut", long + "UK000000001,2027", frost.Unsaid, frost.ErrBadRows, "line 2"},
		{"no such unit", "2027-05-01,28\n", frost.Fahrenheit + 1, frost.ErrUnit, "unit 3"},
		{"unsaid", "2027-05-01,28\n", frost.Unsaid, frost.ErrUnit, "C or F"},
		{"Fahrenheit said to be Celsius", "2027-05-01,28\n2027-07-01,66\n", frost.Celsius, frost.ErrUnit, "line 2 has 66"},
		{"tenths said to be Fahrenheit", "2027-05-01,280\n", frost.Fahrenheit, frost.ErrUnit, "Fahrenheit"},
		{"mixed rows", "2027-05-01,-2C\n2027-05-02,28F\n", frost.Unsaid, frost.ErrUnit, "line 2"},
		{"mixed, one bare", "2027-05-01,-2C\n2027-05-02,28\n", frost.Unsaid, frost.ErrUnit, "line 2 has none"},
		{"mixed names", "date,tmin_f,tmax_c\n2027-05-01,28,3\n", frost.Unsaid, frost.ErrUnit, "Fahrenheit and Celsius"},
		{"name against the household", "date,tmin_f\n2027-05-01,28\n", frost.Celsius, frost.ErrUnit, "Celsius was said"},
		{"GHCN beyond tenths", long + "UK000000001,20270502,TMIN,651,,,W,\n", frost.Unsaid, frost.ErrUnit, "651"},
		{"GHCN turned into whole degrees", converted(), frost.Unsaid, frost.ErrUnit, "C or F"},
		{"GHCN turned into degrees with decimals", "STATION,DATE,TMIN,TMIN_ATTRIBUTES\nUK000000001,2027-05-01,-0.6,\",,W\"\n", frost.Unsaid, frost.ErrUnit, "C or F"},
		{"either order", "01/05/2027,1\n02/05/2027,1\n", frost.Celsius, frost.ErrDateOrder, "above 12"},
		{"both orders", "13/05/2027,1\n05/13/2027,1\n", frost.Celsius, frost.ErrDateOrder, "line 1 has the day first, line 2"},
		{"two stations", long + strings.Replace(long, "01,2027", "02,2027", 1), frost.Unsaid, frost.ErrStations, "UK000000002"},
		{"two stations, fixed", line + "\n" + strings.Replace(line, "UK000000001", "UK000000002", 1), frost.Unsaid, frost.ErrStations, "UK000000002"},
		{"two places", "place,date,min\nA,2027-05-01,1\nB,2027-05-01,1\n", frost.Celsius, frost.ErrStations, "line 3 B"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s, _, err := frost.Read(c.text, c.unit)
			require.ErrorIs(t, err, c.want)
			require.ErrorContains(t, err, c.says)
			require.Equal(t, frost.Series{}, s)
		})
	}
	s, r, err := frost.Read(converted(), frost.Fahrenheit)
	require.NoError(t, err)
	require.Equal(t, frost.Fahrenheit, r.Unit)
	low, _ := s.Min(day(t, "2026-01-13"))
	require.Equal(t, frost.Freeze, low)
}

// TestBadRows: twenty are shown, in order, the rest counted; none is shown whole when it is long.
func TestBadRows(t *testing.T) {
	text := "date,min\n" + strings.Repeat("2027-05-01,"+strings.Repeat("ä\t", 50)+"\n", 33)
	s, r, err := frost.Read(text, frost.Celsius)
	require.ErrorIs(t, err, frost.ErrBadRows)
	require.ErrorContains(t, err, "33")
	require.Equal(t, frost.Series{}, s)
	require.Len(t, r.Bad, 20)
	require.Equal(t, 13, r.BadMore)
	for i, b := range r.Bad {
		require.Equal(t, i+2, b.Line)
		require.Equal(t, 40, len([]rune(b.Text)))
		require.NotContains(t, b.Text, "\t")
		require.NotEmpty(t, b.Why)
	}
}

// TestLarge: 20 MB are read in a few seconds, right or wrong.
func TestLarge(t *testing.T) {
	if testing.Short() {
		t.Skip("20 MB")
	}
	var b strings.Builder
	for d := day(t, "1700-01-01"); b.Len() < 20<<20; d = d.AddDate(0, 0, 1) {
		if d.Year() > 2199 {
			d = day(t, "1700-01-01")
		}
		fmt.Fprintf(&b, "UK000000001,%s,TMIN,-6,,,W,0900\n", d.Format("20060102"))
	}
	for _, c := range []struct {
		name, text string
		want       error
	}{
		{"long", b.String(), nil},
		{"one line", strings.Repeat("a,", 10<<20), frost.ErrNoMinima},
		{"second line", "date,min\n" + strings.Repeat("a,", 10<<20), frost.ErrBadRows},
		{"nothing but quotations", strings.Repeat(`"`, 20<<20), frost.ErrNoMinima},
		{"plain", "date,min\n" + strings.Repeat("2027-05-01,-0.6\n", 20<<16), nil},
		{"bad rows", "date,min\n" + strings.Repeat("2027-05-01,x\n", 20<<16), frost.ErrBadRows},
		{"short lines", "date,min\n" + strings.Repeat("x\n", 10<<20), frost.ErrBadRows},
	} {
		begun := time.Now()
		_, r, err := frost.Read(c.text, frost.Celsius)
		took := time.Since(begun)
		t.Logf("%s: %d ms", c.name, took.Milliseconds())
		require.ErrorIs(t, err, c.want)
		require.Less(t, took, 20*time.Second)
		if c.name == "long" {
			require.Equal(t, 182621, r.Kept)
			require.Positive(t, r.Doubled)
		}
	}
}

// TestAnyOrder: a table in any order, with any mark between, is the same series.
func TestAnyOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := day(t, "1950-01-01").AddDate(0, 0, rapid.IntRange(0, 30000).Draw(t, "first"))
		values := rapid.SliceOfN(rapid.IntRange(-400, 300), 1, 60).Draw(t, "tenths")
		plain, mixed := make([]string, len(values)), make([]string, len(values))
		comma := rapid.Bool().Draw(t, "comma")
		for i, v := range values {
			d := first.AddDate(0, 0, i).Format(time.DateOnly)
			plain[i] = fmt.Sprintf("%s,%.1f,%.1f", d, float64(v)/10, float64(v)/10+5)
			mixed[i] = strings.ReplaceAll(plain[i], ",", ";")
			if comma {
				mixed[i] = strings.ReplaceAll(mixed[i], ".", ",")
			}
		}
		mixed = rapid.Permutation(mixed).Draw(t, "order")
		want, _, err := frost.Read(strings.Join(plain, "\n"), frost.Celsius)
		require.NoError(t, err)
		got, _, err := frost.Read("max;min;date\n"+strings.Join(mixed, "\n"), frost.Celsius)
		require.Error(t, err, "the names are in another order than the values")
		require.Equal(t, frost.Series{}, got)
		got, r, err := frost.Read("date;min;max\r\n"+strings.Join(mixed, "\r\n"), frost.Celsius)
		require.NoError(t, err)
		require.Equal(t, want, got)
		require.Equal(t, len(values), r.Kept)
		for i, v := range values {
			low, ok := got.Min(first.AddDate(0, 0, i))
			require.True(t, ok)
			require.Equal(t, v, low)
			high, ok := got.Max(first.AddDate(0, 0, i))
			require.True(t, ok)
			require.Equal(t, v+50, high)
		}
	})
}

// FuzzRead: whatever the text, a series comes with a report that fits it, or none does.
func FuzzRead(f *testing.F) {
	for _, text := range []string{
		"date,min,max\n2027-05-01,-0.6,9\n", "13/05/2027;1,5\n", "2027-05-01\t28F\n", "# x\nplace,date,low\nA,2027-05-01,M\n",
		fixedLine("UK000000001", 2028, 2, "TMIN", steady(-6)), "ID,DATE,ELEMENT,VALUE\nUK000000001,20270501,TMIN,-6\n",
		"STATION,DATE,TMIN,TMIN_ATTRIBUTES\n\"U\",\"2027-05-01\",\"  -6\",\",,W\"\n", "<html>", "\x1f\x8b", "\"a\"\"b\",\"",
	} {
		f.Add(text, uint8(1))
	}
	f.Fuzz(func(t *testing.T, text string, unit uint8) {
		s, r, err := frost.Read(text, frost.Unit(unit%3))
		if err != nil {
			require.Equal(t, frost.Series{}, s)
			return
		}
		require.Positive(t, r.Kept)
		require.Equal(t, r.Kept, s.Days())
		require.Empty(t, r.Bad)
		require.NotEqual(t, frost.Unsaid, r.Unit)
		first, last := s.Span()
		require.Equal(t, []time.Time{first, last}, []time.Time{r.First, r.Last})
		low, ok := s.Min(first)
		require.True(t, ok && low >= -650 && low <= 650)
		back, err := frost.Unpack(s.Pack())
		require.NoError(t, err)
		require.Equal(t, s, back)
	})
}
