package feed

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// TestTables loads every row of every table: each has its source and mark, a band that is
// ordered and positive, and names a kind that is there.
func TestTables(t *testing.T) {
	rows := 0
	for name, text := range map[string]string{
		"kinds": kindsCSV, "needs": needsCSV, "growth": growthCSV, "coats": coatsCSV, "water": waterCSV, "feeds": feedsCSV,
		"cautions": cautionsCSV, "bales": balesCSV, "bedding": beddingCSV, "heaters": heatersCSV, "waste": wasteCSV,
	} {
		t.Run(name, func(t *testing.T) {
			for _, r := range records(text) {
				rows++
				require.NotEmpty(t, r["source"], r)
				require.NotEmpty(t, r["mark"], r)
				if kind, ok := r["kind"]; ok {
					k, found := KindNamed(kind)
					require.True(t, found, r)
					require.Equal(t, kind, k.Name)
				}
				if r["low"] == "" {
					continue
				}
				b := r.band()
				require.Positive(t, b.Low, r)
				require.LessOrEqual(t, b.Low, b.Typical, r)
				require.LessOrEqual(t, b.Typical, b.High, r)
			}
		})
	}
	t.Logf("%d rows", rows)
	require.Greater(t, rows, 300)
}

// TestNeedRows: every kind has a need in a way that is known, every way to grow its
// segments, and no stage stands twice.
func TestNeedRows(t *testing.T) {
	for _, k := range kinds() {
		var found []stage
		for _, s := range stages() {
			if s.kind == k.Name {
				found = append(found, s)
			}
		}
		require.NotEmpty(t, found, k.Name)
		require.Positive(t, k.Weight, k.Name)
		seen := map[string]bool{}
		for _, s := range found {
			require.Contains(t, []string{perHead, perWeight, perMilk, perLitter, perGrowth, perLabel}, s.per)
			require.False(t, seen[s.name+s.per], "%s %s twice", k.Name, s.name)
			seen[s.name+s.per] = true
			require.Equal(t, s.per == perGrowth, settled{Group{Kind: k.Name, Stage: s.name}, s}.course() != nil, "%s %s", k.Name, s.name)
			require.Equal(t, s.per == perHead || s.per == perWeight || s.per == perMilk || s.per == perLitter, s.feed.Low > 0, "%s %s", k.Name, s.name)
			require.GreaterOrEqual(t, s.grain, 0.0)
			require.LessOrEqual(t, s.grain, 1.0)
		}
	}
}

// TestCourses: the segments of a course follow each other without a gap, in one measure.
func TestCourses(t *testing.T) {
	courses := 0
	for _, s := range stages() {
		if s.per != perGrowth {
			continue
		}
		courses++
		c := settled{Group{Kind: s.kind, Stage: s.name}, s}.course()
		for i, g := range c {
			require.Less(t, g.from, g.to)
			require.Positive(t, g.first)
			require.GreaterOrEqual(t, g.last, g.first)
			require.Positive(t, g.gain)
			require.Equal(t, c[0].weeks, g.weeks)
			if i > 0 {
				require.InDelta(t, c[i-1].to, g.from, 1e-9)
				require.GreaterOrEqual(t, g.first, c[i-1].last)
			}
		}
	}
	require.Equal(t, 6, courses)
}

// TestStagesOfSmallTables: the stages of water and growth are stages of their kind, the
// temperatures of one thing rise, and so does what is drunk.
func TestStagesOfSmallTables(t *testing.T) {
	for _, d := range drinks() {
		require.Contains(t, []string{perHead, perHundred, perPounds, perFeed, perMilked, perBeside}, d.per)
		if d.stage != "" {
			require.Contains(t, stagesOf(d.kind), d.stage)
		}
	}
	for _, g := range segments() {
		if g.stage != "" {
			require.Contains(t, stagesOf(g.kind), g.stage)
		}
	}
	for i, d := range drinks()[1:] {
		last := drinks()[i]
		if last.kind != d.kind || last.stage != d.stage || last.per != d.per {
			continue
		}
		require.Greater(t, d.at, last.at, d.kind)
		require.GreaterOrEqual(t, d.litres.Low, last.litres.Low, d.kind)
		require.GreaterOrEqual(t, d.litres.Typical, last.litres.Typical, d.kind)
		require.GreaterOrEqual(t, d.litres.High, last.litres.High, d.kind)
	}
}

// TestEveryKindDrinks: water never hangs on a figure that nobody gave.
func TestEveryKindDrinks(t *testing.T) {
	for _, k := range kinds() {
		for _, stage := range append(k.Stages, "") {
			d, err := Water(Group{Kind: k.Name, Stage: stage, Heads: 1}, Weather{})
			require.NoError(t, err, k.Name)
			require.Positive(t, d.Litres.Low, k.Name)
			require.NotEmpty(t, d.Source)
			require.NotEmpty(t, d.Mark)
		}
	}
}

// TestWordsMeanOneThing: within a table no word stands for two things, and all are such as
// fold makes them.
func TestWordsMeanOneThing(t *testing.T) {
	once := func(t *testing.T, seen map[string]string, what string, words []string) {
		for _, w := range words {
			require.Equal(t, fold(w), w)
			if seen[w] != "" {
				require.Equal(t, seen[w], what, "%q", w)
			}
			seen[w] = what
		}
	}
	kindWords, feedWords, baleWords, heaterWords, wasteWords := map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}, map[string]string{}
	for _, k := range kinds() {
		once(t, kindWords, k.Name, append(k.Words, k.Name))
	}
	for _, f := range feeds() {
		once(t, feedWords, f.Name, append(f.Words, f.Name))
	}
	for _, b := range bales() {
		seen := baleWords
		for _, w := range append(b.Words, b.Name) {
			once(t, seen, b.Of+" "+b.Name, []string{b.Of + " " + w})
		}
	}
	for _, h := range heaters() {
		once(t, heaterWords, h.Name, append(h.Words, h.Name))
	}
	for _, w := range wastes() {
		once(t, wasteWords, w.How, append(w.Words, w.How))
	}
	for _, k := range kinds() {
		stageWords := map[string]string{}
		for _, s := range stages() {
			if s.kind == k.Name && s.name != "" {
				once(t, stageWords, s.name, append(s.words, s.name))
			}
		}
	}
}

// TestFeedRows: feeds are for kinds that are there, their figures are shares.
func TestFeedRows(t *testing.T) {
	for _, f := range feeds() {
		require.Contains(t, []Part{All, Hay, Grain}, f.Part)
		require.GreaterOrEqual(t, f.Protein, 0.0)
		require.Less(t, f.Protein, 0.7)
		require.Greater(t, f.Dry, 0.0)
		require.LessOrEqual(t, f.Dry, 1.0)
		for _, kind := range f.For {
			k, ok := KindNamed(kind)
			require.True(t, ok, kind)
			require.Equal(t, kind, k.Name)
		}
	}
}

// TestCautionRows: a caution names feeds and kinds that are there.
func TestCautionRows(t *testing.T) {
	names := map[string]bool{}
	for _, c := range cautions() {
		require.False(t, names[c.Name])
		names[c.Name] = true
		require.NotEmpty(t, c.Text)
		for _, f := range c.feeds {
			found, ok := FeedNamed(f)
			require.True(t, ok, f)
			require.Equal(t, f, found.Name)
		}
		for _, k := range c.kinds {
			found, ok := KindNamed(k)
			require.True(t, ok, k)
			require.Equal(t, k, found.Name)
		}
	}
	for _, name := range []string{"not whole", "calcium", "copper", "monensin", "raw soya", "acidosis", "kitchen waste"} {
		require.True(t, names[name], name)
	}
}
