package breeding_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/breeding"
)

func names(ls []breeding.Length) string {
	var out []string
	for _, l := range ls {
		out = append(out, l.Name())
	}
	return strings.Join(out, "; ")
}

func TestLookup(t *testing.T) {
	for words, want := range map[string]string{
		"the sow": "sow", "pig": "sow", "a gilt": "sow", "piglets": "sow", "boar": "sow",
		"nanny": "doe goat", "goat": "doe goat", "Nubian goat": "doe goat", "kids": "doe goat",
		"pygmy goat": "doe goat (dwarf)", "Nigerian Dwarf doe": "doe goat (dwarf)", "dwarf": "doe goat (dwarf)",
		"doe": "doe goat; rabbit", "buck": "doe goat; rabbit", "doe rabbit": "rabbit", "rabbit doe": "rabbit", "doe goat": "doe goat", "dwarf rabbit": "rabbit",
		"ewe": "ewe", "sheep": "ewe", "lambs": "ewe", "cow": "cow", "heifer": "cow", "cattle": "cow",
		"Jersey": "cow (Jersey)", "the Jersey heifer": "cow (Jersey)", "Brown Swiss cow": "cow (Brown Swiss)", "cow with twins": "cow (twins)", "twins": "",
		"Simmental": "cow (Charolais, Simmental or Limousin)", "Dexter cow": "cow",
		"mare": "mare", "mare with a mule": "mare (carrying a mule)", "jenny": "donkey", "foal": "mare; donkey",
		"queen": "cat", "bitch": "dog", "guinea pig": "guinea pig", "guinea pigs": "guinea pig", "guineas": "guinea fowl", "guinea hen": "guinea fowl", "keets": "guinea fowl",
		"hens' eggs": "chicken", "hen's eggs": "chicken", "hen eggs": "chicken", "chicks": "chicken", "bantams": "chicken (bantam)", "bantam hen": "chicken (bantam)",
		"Jersey Giant hen": "chicken",
		"duck":             "duck", "duck eggs": "duck", "ducklings": "duck", "Muscovy": "Muscovy duck", "muscovy ducks": "Muscovy duck", "Muscovy drake": "Muscovy duck",
		"goose": "goose", "goslings": "goose", "turkey": "turkey", "turkey hen": "turkey", "poults": "turkey",
		"quail": "quail (coturnix); quail (bobwhite)", "coturnix": "quail (coturnix)", "Japanese quail": "quail (coturnix)", "bobwhite quail": "quail (bobwhite)",
		"cria": "alpaca; llama", "squab": "pigeon", "peahen": "peafowl", "chukar": "chukar partridge",
		"Maren": "", "": "", "eggs": "", "the fence": "",
	} {
		require.Equal(t, want, names(breeding.Lookup(words)), words)
	}
}

// TestWordsFindTheirSpecies: each word of a species finds it, among others at most.
func TestWordsFindTheirSpecies(t *testing.T) {
	for _, s := range breeding.AllSpecies() {
		for _, w := range s.Words() {
			found := false
			for _, l := range breeding.Lookup(w) {
				found = found || l.Species == s.Name
			}
			require.True(t, found, "%s does not find %s", w, s.Name)
		}
	}
}

// TestReadyForTheFirst: of several services, what has to stand ready does for the first,
// and the rest is planned from the last.
func TestReadyForTheFirst(t *testing.T) {
	goat := length(t, "doe goat", "")
	day := func(m time.Month, d int) time.Time { return time.Date(2027, m, d, 0, 0, 0, 0, time.UTC) }
	first, last := time.Date(2026, 10, 20, 0, 0, 0, 0, time.UTC), time.Date(2026, 11, 8, 0, 0, 0, 0, time.UTC)
	e, err := breeding.Served(goat, first, last)
	require.NoError(t, err)
	from := map[string]time.Time{}
	for _, d := range breeding.RunUp(goat, e) {
		from[d.Name] = d.From
	}
	require.Equal(t, day(3, 14), from["doe-goat-watch"])
	require.Equal(t, day(3, 5), from["doe-goat-kit"], "14 days before the first one's day, 19 March")
	require.Equal(t, day(3, 16), from["doe-goat-pen"])
	require.Equal(t, day(3, 10), from["doe-goat-booster"], "28 days before the last one's day, 7 April")
}

// TestBrooderBeforeTheWindow: it is warm before the first may be out.
func TestBrooderBeforeTheWindow(t *testing.T) {
	set := time.Date(2027, 3, 2, 0, 0, 0, 0, time.UTC)
	for _, l := range breeding.Lengths() {
		if l.Kind != breeding.Incubation {
			continue
		}
		e := breeding.Due(l, set)
		for _, d := range breeding.RunUp(l, e) {
			if strings.HasSuffix(d.Name, "-brooder") {
				require.False(t, d.From.After(e.Due.AddDate(0, 0, -1)), l.Name())
				if e.Earliest.Before(e.Due.AddDate(0, 0, -1)) {
					require.Equal(t, e.Earliest.AddDate(0, 0, -1), d.From, l.Name())
				}
			}
		}
	}
}

func TestServicesThatCannotBe(t *testing.T) {
	sow := length(t, "sow", "")
	_, err := breeding.Served(sow)
	require.ErrorIs(t, err, breeding.ErrDates)
	_, err = breeding.Exposed(sow, date(t, "2027-02-01"), date(t, "2027-01-01"))
	require.ErrorIs(t, err, breeding.ErrDates)
	_, err = breeding.Exposed(sow, time.Time{}, date(t, "2027-01-01"))
	require.ErrorIs(t, err, breeding.ErrDates)
	_, err = breeding.Incubate(sow, date(t, "2027-01-01"))
	require.ErrorIs(t, err, breeding.ErrLength)
	for _, days := range []int{0, -5, 3, 600} {
		_, err = sow.WithDays(days)
		require.ErrorIs(t, err, breeding.ErrLength, days)
	}
}

func TestOwnDaysOfEggs(t *testing.T) {
	l, err := length(t, "goose", "").WithDays(33)
	require.NoError(t, err)
	h, err := breeding.Incubate(l, date(t, "2027-03-01"))
	require.NoError(t, err)
	require.Equal(t, "2027-04-03", h.Hatch.Format(time.DateOnly))
	require.Equal(t, "2027-03-31", h.StopTurning.Format(time.DateOnly))
}

func TestNoReturnForRabbitsAndBirds(t *testing.T) {
	for _, name := range []string{"rabbit", "cat", "dog", "chicken", "alpaca"} {
		_, ok := breeding.ReturnToHeat(length(t, name, ""))
		require.False(t, ok, name)
	}
}

func taskNames(ds []breeding.Dated) []string {
	var out []string
	for _, d := range ds {
		out = append(out, d.Name)
	}
	return out
}

// TestExposureHasNoReturn: with the male about, coming back into heat is his matter.
func TestExposureHasNoReturn(t *testing.T) {
	ewe := length(t, "ewe", "")
	require.Contains(t, taskNames(breeding.RunUp(ewe, breeding.Due(ewe, date(t, "2026-10-20")))), "ewe-return")
	e, err := breeding.Exposed(ewe, date(t, "2026-10-20"), date(t, "2026-12-01"))
	require.NoError(t, err)
	require.NotContains(t, taskNames(breeding.RunUp(ewe, e)), "ewe-return")
}

// TestFirstServiceOpensTheNest: a doe served twice has her nest box by the first.
func TestFirstServiceOpensTheNest(t *testing.T) {
	doe := length(t, "rabbit", "")
	e, err := breeding.Served(doe, date(t, "2027-02-01"), date(t, "2027-02-06"))
	require.NoError(t, err)
	for _, d := range breeding.RunUp(doe, e) {
		if d.Name == "rabbit-box" {
			require.Equal(t, "2027-03-01", d.From.Format(time.DateOnly))
			return
		}
	}
	require.Fail(t, "no nest box")
}

func TestHatchOfHens(t *testing.T) {
	hen := length(t, "chicken", "")
	run := breeding.RunUp(hen, breeding.Due(hen, date(t, "2027-03-05")))
	require.Equal(t, []string{"chicken-candle-1", "chicken-candle-2", "chicken-stop", "chicken-brooder", "chicken-open"}, taskNames(run))
	for _, d := range run {
		require.Equal(t, d.Name == "chicken-brooder", d.Adult, d.Name)
	}
	after := breeding.AfterBirth(hen, date(t, "2027-03-26"))
	require.Equal(t, []string{"chicken-week-1", "chicken-week-2", "chicken-week-3", "chicken-week-4", "chicken-week-5", "chicken-week-6", "chicken-heat-off"}, taskNames(after))
	require.Equal(t, "Brooder week 2: 90 F (32 C)", after[1].Title)
	require.Equal(t, "2027-05-07", after[6].From.Format(time.DateOnly))
	for _, d := range after {
		require.True(t, d.Adult, d.Name)
	}
}

func TestBrooderBeforeTheHatch(t *testing.T) {
	_, ok := breeding.BrooderOn("chicken", date(t, "2027-03-26"), date(t, "2027-03-25"))
	require.False(t, ok)
	_, ok = breeding.BrooderOn("sow", date(t, "2027-03-26"), date(t, "2027-03-26"))
	require.False(t, ok)
}

func TestHatchRateMeans(t *testing.T) {
	for _, c := range []struct {
		set, barren, hatched int
		word                 string
		few                  bool
	}{
		{24, 2, 20, "good", false},
		{24, 2, 15, "usual", false},
		{24, 2, 8, "poor", false},
		{24, 10, 14, "clear", false},
		{6, 0, 6, "good", true},
		{12, 12, 0, "clear", true},
	} {
		r, err := breeding.HatchRate(c.set, c.barren, c.hatched)
		require.NoError(t, err)
		require.Contains(t, strings.ToLower(r.Means), c.word)
		require.Equal(t, c.few, r.Few)
	}
	for _, c := range [][3]int{{0, 0, 0}, {12, 13, 0}, {12, 6, 7}, {12, -1, 3}, {12, 1, -3}} {
		_, err := breeding.HatchRate(c[0], c[1], c[2])
		require.ErrorIs(t, err, breeding.ErrEggs, c)
	}
}

func TestStrings(t *testing.T) {
	require.Equal(t, "gestation", breeding.Gestation.String())
	require.Equal(t, "incubation", breeding.Incubation.String())
	require.Equal(t, "unknown", breeding.Kind(9).String())
	require.Equal(t, "weaning", breeding.FromWeaning.String())
	require.Equal(t, "unknown", breeding.Anchor(99).String())
}

// TestCopies: what a caller changes stays his own.
func TestCopies(t *testing.T) {
	for _, l := range breeding.Lengths() {
		if len(l.Candle) > 0 {
			l.Candle[0] = 99
		}
	}
	require.Equal(t, []int{7, 14}, length(t, "chicken", "").Candle)
	breeding.Lookup("chicken")[0].Candle[0] = 99
	require.Equal(t, []int{7, 14}, length(t, "chicken", "").Candle)
	s, ok := breeding.SpeciesNamed("sow")
	require.True(t, ok)
	s.Young[0].One = "x"
	s, _ = breeding.SpeciesNamed("sow")
	require.Equal(t, "piglet", s.Young[0].One)
	_, ok = breeding.SpeciesNamed("unicorn")
	require.False(t, ok)
	require.NotEmpty(t, breeding.Tasks())
}

func ExampleLookup() {
	for _, l := range breeding.Lookup("the Jersey heifer") {
		fmt.Println(l.Name(), l.Min, l.Typical, l.Max)
	}
	// Output: cow (Jersey) 267 279 291
}

func ExampleDue() {
	sow := breeding.Lookup("sow")[0]
	e := breeding.Due(sow, time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC))
	fmt.Println(e.Due.Format("Mon 2 Jan 2006"), "between", e.Earliest.Format("2 Jan"), "and", e.Latest.Format("2 Jan"))
	// Output: Thu 25 Mar 2027 between 22 Mar and 28 Mar
}

func ExampleServed() {
	sow := breeding.Lookup("sow")[0]
	first := time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC)
	e, err := breeding.Served(sow, first, first.AddDate(0, 0, 1))
	fmt.Println(e.Due.Format("2 Jan"), "from", e.Earliest.Format("2 Jan"), err)
	// Output: 26 Mar from 22 Mar <nil>
}

func ExampleExposed() {
	ewe := breeding.Lookup("ewe")[0]
	in := time.Date(2026, 10, 20, 0, 0, 0, 0, time.UTC)
	e, err := breeding.Exposed(ewe, in, in.AddDate(0, 0, 34))
	fmt.Println(e.Earliest.Format("2 Jan"), "to", e.Latest.Format("2 Jan"), e.OneDate, err)
	// Output: 13 Mar to 23 Apr false <nil>
}

func ExampleRunUp() {
	sow := breeding.Lookup("sow")[0]
	for _, d := range breeding.RunUp(sow, breeding.Due(sow, time.Date(2026, 12, 1, 0, 0, 0, 0, time.UTC))) {
		if d.FromDay > -13 && d.Anchor == breeding.FromDue {
			fmt.Println(d.From.Format("2 Jan"), d.Title)
		}
	}
	// Output:
	// 13 Mar Scrub and disinfect the farrowing pen
	// 20 Mar Wash the sow, bring her into the farrowing pen
	// 22 Mar Bring her feed down and bulk it
	// 24 Mar Warm corner for the piglets on
}

func ExampleAfterBirth() {
	doe := breeding.Lookup("doe rabbit")[0]
	for _, d := range breeding.AfterBirth(doe, time.Date(2027, 3, 4, 0, 0, 0, 0, time.UTC)) {
		fmt.Println(d.From.Format("2 Jan"), d.Title)
	}
	// Output:
	// 5 Mar Look over the litter, take out dead kits
	// 22 Mar Nest box out
	// 1 Apr The doe may go to the buck again
	// 8 Apr Wean the kits
}

func ExampleAfterWeaning() {
	sow := breeding.Lookup("sow")[0]
	for _, d := range breeding.AfterWeaning(sow, time.Date(2027, 5, 6, 0, 0, 0, 0, time.UTC)) {
		fmt.Println(d.From.Format("2 Jan"), "to", d.To.Format("2 Jan"), d.Title)
	}
	// Output: 10 May to 16 May The sow comes into heat
}

func ExampleReturnToHeat() {
	r, ok := breeding.ReturnToHeat(breeding.Lookup("cow")[0])
	fmt.Println(r.From, r.Day, r.To, ok)
	// Output: 18 21 24 true
}

func ExampleIncubate() {
	h, err := breeding.Incubate(breeding.Lookup("hens' eggs")[0], time.Date(2027, 3, 5, 0, 0, 0, 0, time.UTC))
	fmt.Println("stop turning", h.StopTurning.Format("2 Jan"), "hatch", h.Hatch.Format("Mon 2 Jan"), err)
	// Output: stop turning 23 Mar hatch Fri 26 Mar <nil>
}

func ExampleBrooderOn() {
	hatched := time.Date(2027, 3, 26, 0, 0, 0, 0, time.UTC)
	w, ok := breeding.BrooderOn("chicken", hatched, hatched.AddDate(0, 0, 10))
	fmt.Printf("week %d: %.0f F, %.1f C %v\n", w.Week, w.F.Low, w.F.Celsius().Low, ok)
	// Output: week 2: 90 F, 32.2 C true
}

func ExampleHatchRate() {
	r, err := breeding.HatchRate(24, 3, 17)
	fmt.Printf("%.0f %% of set, %.0f %% of fertile. %s %v\n", 100*r.OfSet, 100*r.OfFertile, r.Means, err)
	// Output: 71 % of set, 81 % of fertile. A good hatch: hatcheries have about 80 %. <nil>
}

func ExampleHelp() {
	for _, l := range breeding.Help("doe goat") {
		fmt.Printf("%s: %s\n", l.Sign, l.Act)
	}
	fmt.Println(breeding.Uneasy)
	// Output:
	// 30 minutes of straining without progress: Call the vet.
	// an hour since the water bag and no kid: Call the vet.
	// afterbirth not passed in 12 hours: Call the vet; nobody pulls at it.
	// Call sooner if you are uneasy: too early is seldom wrong.
}

func ExampleSpeciesNamed() {
	s, _ := breeding.SpeciesNamed("doe goat")
	fmt.Println(s.Female[0].One, s.Male[0].One, s.Young[0].Many, s.Birth.Past, s.Event)
	// Output: doe buck kids kidded kidding
}
