package feed

import (
	_ "embed"
	"slices"
)

var (
	//go:embed feeds.csv
	feedsCSV string
	//go:embed cautions.csv
	cautionsCSV string
)

// Feed is one feed of the table, with middling figures: the sack's label is better.
type Feed struct {
	Name    string
	Words   []string // what a household calls it, lower case
	Part    Part     // Hay or Grain; All for bedding and for what is no ration by itself
	Protein float64  // share as fed, 0 where it does not matter
	Dry     float64  // share of dry matter
	For     []string // kinds that it is made for; empty: many
	Source  string
	Mark    string
}

var feeds = load(&feedsCSV, func(r record) Feed {
	return Feed{
		Name: r["feed"], Words: r.words("words"), Part: Part(r["part"]), Protein: r.number("protein") / 100, Dry: r.number("dry"),
		For: r.words("for"), Source: r["source"], Mark: r["mark"],
	}
})

// Feeds returns every feed of the table, in its order.
func Feeds() []Feed {
	out := slices.Clone(feeds())
	for i := range out {
		out[i] = out[i].clone()
	}
	return out
}

func (f Feed) clone() Feed {
	f.Words, f.For = slices.Clone(f.Words), slices.Clone(f.For)
	return f
}

// FeedNamed returns the feed of that name or word; case does not matter. It returns false
// when the table has none.
func FeedNamed(word string) (Feed, bool) {
	word = fold(word)
	for _, f := range feeds() {
		if f.Name == word || slices.Contains(f.Words, word) {
			return f.clone(), true
		}
	}
	return Feed{}, false
}

// FeedsFor returns the feeds that are made for a kind, by its name in the table.
func FeedsFor(kind string) []Feed {
	return slices.DeleteFunc(Feeds(), func(f Feed) bool { return !slices.Contains(f.For, kind) })
}

// Caution is a warning about feed.
type Caution struct {
	Name   string
	Text   string
	Source string
	Mark   string
	feeds  []string // where one of these is fed
	kinds  []string // to one of these
}

var cautions = load(&cautionsCSV, func(r record) Caution {
	return Caution{Name: r["name"], Text: r["text"], Source: r["source"], Mark: r["mark"], feeds: r.words("feeds"), kinds: r.words("kinds")}
})

// Cautions returns what is said with every mix, in order.
func Cautions() []Caution { return slices.Clone(cautions()) }

// CautionsFor returns what is said when that feed goes to that kind; both are names of the
// tables.
func CautionsFor(feed, kind string) []Caution {
	var out []Caution
	for _, c := range cautions() {
		if slices.Contains(c.feeds, feed) && slices.Contains(c.kinds, kind) {
			out = append(out, c)
		}
	}
	return out
}
