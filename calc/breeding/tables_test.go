package breeding

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTables reads every row of every table and holds them to each other.
func TestTables(t *testing.T) {
	require.Len(t, lengths(), 41)
	require.Len(t, species(), 23)
	require.Len(t, tasks(), 70)
	require.Len(t, returns(), 5)
	require.Len(t, weeks(), 53)
	require.Len(t, limits(), 32)
	require.Len(t, signs(), 9)
	require.Len(t, fevers(), 7)
	for _, text := range []string{gestationCSV, wordsCSV, tasksCSV, returnsCSV, brooderCSV, helpCSV, signsCSV, feverCSV} {
		header, _, _ := strings.Cut(text, "\n")
		require.True(t, strings.HasSuffix(header, ",source,mark"), header)
	}
}

// TestSignsAndFevers: the words of a sign are as people type them, and a species is one of
// the table; a usual temperature is that of a warm animal.
func TestSignsAndFevers(t *testing.T) {
	for _, s := range AllSigns() {
		require.NotEmpty(t, s.Words, s.Name)
		for _, w := range s.Words {
			require.Equal(t, strings.ToLower(w), w)
		}
		for _, name := range s.Species {
			_, ok := SpeciesNamed(name)
			require.True(t, ok, name)
		}
	}
	for _, f := range fevers() {
		_, ok := SpeciesNamed(f.Species)
		require.True(t, ok, f.Species)
		require.True(t, f.F.Low >= 98 && f.F.High <= 105 && f.F.Low < f.F.High, f.Species)
	}
	require.Empty(t, sign(Signs("mare"), "bloat"), "horses have colic")
	require.NotEmpty(t, sign(Signs("ewe"), "bloat"))
	_, ok := FeverOf("chicken")
	require.False(t, ok)
}

func sign(all []Sign, name string) string {
	for _, s := range all {
		if s.Name == name {
			return s.Act
		}
	}
	return ""
}

func TestLengthsAreWhole(t *testing.T) {
	names, usual := map[string]bool{}, map[string]int{}
	for _, l := range lengths() {
		require.False(t, names[l.Name()], l.Name())
		names[l.Name()] = true
		if l.usual {
			usual[l.Species]++
			require.Empty(t, l.Breed, l.Name())
		} else {
			require.NotEmpty(t, l.words, l.Name())
		}
		_, ok := SpeciesNamed(l.Species)
		require.True(t, ok, "%s has no words", l.Species)
		for i, day := range l.Candle {
			require.Less(t, day, l.Typical, l.Name())
			require.True(t, i == 0 || day > l.Candle[i-1], l.Name())
		}
		require.Equal(t, l.Kind == Incubation, len(l.Candle) > 0, l.Name())
		if l.Kind == Incubation {
			require.True(t, l.TempF.Low >= 99 && l.TempF.High < TooHotF, l.Name())
			require.GreaterOrEqual(t, l.HumidityLast.Low, l.Humidity.High, l.Name())
		}
	}
	for _, s := range species() {
		require.Equal(t, s.Name != "quail", usual[s.Name] == 1, s.Name)
	}
}

func TestWordsAreLowerCaseAndShort(t *testing.T) {
	for _, s := range species() {
		for _, w := range append(s.Words(), s.Birth.Base, s.Birth.Third, s.Birth.Past, s.Birth.Doing) {
			require.NotEmpty(t, w, s.Name)
			require.Equal(t, strings.ToLower(w), w, s.Name)
			require.LessOrEqual(t, len(tokens(w)), longestPhrase, w)
		}
	}
	for _, l := range lengths() {
		for _, w := range l.words {
			require.Equal(t, strings.Join(tokens(w), " "), w, "%s would not be found", w)
			require.LessOrEqual(t, len(tokens(w)), longestPhrase, w)
		}
	}
}

func TestTasksHoldTogether(t *testing.T) {
	names := map[string]bool{}
	for _, k := range tasks() {
		require.False(t, names[k.Name], k.Name)
		names[k.Name] = true
		_, ok := SpeciesNamed(k.Species)
		require.True(t, ok, k.Name)
		require.True(t, strings.HasPrefix(k.Name, slug(k.Species)+"-"), k.Name)
		require.LessOrEqual(t, k.FromDay, k.ToDay, k.Name)
		require.LessOrEqual(t, len(k.Title), 60, "too long for a bell: %s", k.Title)
		if k.Anchor == FromDue {
			require.LessOrEqual(t, k.ToDay, 0, k.Name)
		} else {
			require.GreaterOrEqual(t, k.FromDay, 0, k.Name)
		}
	}
}

// TestNoDose: the tables name no drug amounts; that is the vet's.
func TestNoDose(t *testing.T) {
	for _, k := range tasks() {
		for _, unit := range []string{" mg", " ml", " cc", " IU"} {
			require.NotContains(t, k.Do+" ", unit+" ", k.Name)
		}
	}
}

// TestKeepAway: whoever is expecting is kept from every birth of farm animals, and no
// child is sent to a mother at the birth.
func TestKeepAway(t *testing.T) {
	farm := map[string]bool{"cow": true, "ewe": true, "doe goat": true, "sow": true, "mare": true, "donkey": true, "alpaca": true, "llama": true}
	births := map[string]int{}
	for _, k := range tasks() {
		if !farm[k.Species] || k.Anchor != FromEarliest && (k.Anchor != FromBirth || k.FromDay > 3) {
			continue
		}
		births[k.Species]++
		require.True(t, k.Adult, k.Name)
		require.True(t, k.KeepAway, k.Name)
	}
	require.Len(t, births, len(farm))
}

func TestBrooderSteps(t *testing.T) {
	for _, s := range species() {
		all := Brooder(s.Name)
		if s.Kind == Gestation || s.Name == "pigeon" {
			require.Empty(t, all, s.Name)
			continue
		}
		require.NotEmpty(t, all, s.Name)
		for i, w := range all {
			require.Equal(t, i+1, w.Week, s.Name)
			require.LessOrEqual(t, w.F.Low, w.F.High, s.Name)
			require.True(t, i == 0 || w.F.High < all[i-1].F.High, s.Name)
		}
		require.InDelta(t, 70, all[len(all)-1].F.Low, 0.1, s.Name)
	}
}

func TestEveryMotherHasHelp(t *testing.T) {
	for _, s := range species() {
		require.Equal(t, s.Kind == Gestation, len(Help(s.Name)) > 0, s.Name)
	}
}

func TestBadTables(t *testing.T) {
	for name, text := range map[string]string{
		"nothing":   "",
		"no rows":   "species\n",
		"ragged":    "species,breed\nx\n",
		"no column": "species,breed\nx,y\n",
	} {
		_, err := readTable(text, readLength)
		require.ErrorIs(t, err, ErrTable, name)
	}
	for _, cell := range []string{"", "x", "2-1", "NaN", "1-"} {
		r := record{}
		r.span(cell)
		require.ErrorIs(t, r.err, ErrTable, cell)
	}
}

// FuzzReadLengths: a table is refused, or every length in it passes its own check.
func FuzzReadLengths(f *testing.F) {
	f.Add(gestationCSV)
	f.Add("species,breed\nx,y\n")
	f.Fuzz(func(t *testing.T, text string) {
		ls, err := readTable(text, readLength)
		if err != nil {
			return
		}
		for _, l := range ls {
			if err := l.Check(); err != nil {
				t.Fatal(err)
			}
			if math.IsNaN(l.TempF.Low) {
				t.Fatal("a temperature that is no number")
			}
		}
	})
}
