package phrase_test

import (
	"math/big"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/measure"
	"yardbell/handlers/phrase"
)

func ratOf(num, den int64) *big.Rat { return big.NewRat(num, den) }

// TestQuantities holds the ways an amount is written.
func TestQuantities(t *testing.T) {
	for _, c := range []struct {
		text string
		num  int64
		den  int64
		unit *measure.Unit
	}{
		{"1200 g", 1200, 1, measure.Gram},
		{"1,200g", 1200, 1, measure.Gram},
		{"1.2 kg", 6, 5, measure.Kilogram},
		{"1,5 kg", 3, 2, measure.Kilogram},
		{"2lb 10oz", 21, 8, measure.Pound},
		{"2 lb 10 oz", 21, 8, measure.Pound},
		{"two pounds and ten ounces", 21, 8, measure.Pound},
		{"1 1/2 cups", 3, 2, measure.Cup},
		{"1½ cup", 3, 2, measure.Cup},
		{"3/8 c", 3, 8, measure.Cup},
		{"half a cup", 1, 2, measure.Cup},
		{"a cup", 1, 1, measure.Cup},
		{"a kilo and a half", 3, 2, measure.Kilogram},
		{"two and a half kilos", 5, 2, measure.Kilogram},
		{"three quarters of a cup", 3, 4, measure.Cup},
		{"nine hundred grams", 900, 1, measure.Gram},
		{"one thousand two hundred and fifty grams", 1250, 1, measure.Gram},
		{"twenty five grams", 25, 1, measure.Gram},
		{"one point five kilos", 3, 2, measure.Kilogram},
		{"115F", 115, 1, measure.Fahrenheit},
		{"46 °C", 46, 1, measure.Celsius},
		{"46 degrees", 46, 1, measure.Celsius},
		{"12 fl oz", 12, 1, measure.ImperialFluidOunce},
		{"a pint", 1, 1, measure.ImperialPint},
		{"-5 g", -5, 1, measure.Gram},
		{"1e9 kg", 1_000_000_000, 1, measure.Kilogram},
	} {
		t.Run(c.text, func(t *testing.T) {
			r := phrase.Read(c.text, phrase.Tokens(c.text), reference, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}})
			require.Len(t, r.Spans, 1)
			q := r.Spans[0].Value.(phrase.Quantity)
			require.Same(t, c.unit, q.Unit)
			require.Zero(t, q.Amount.Cmp(ratOf(c.num, c.den)), q.Amount.String())
			require.Equal(t, c.text, r.Spans[0].Text, "the place in the text")
		})
	}
}

func TestRangesKeepBothEnds(t *testing.T) {
	r := phrase.Read("2-3 kg", phrase.Tokens("2-3 kg"), reference, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}})
	q := r.Spans[0].Value.(phrase.Quantity)
	require.Zero(t, q.Amount.Cmp(ratOf(2, 1)))
	require.Zero(t, q.Top.Cmp(ratOf(3, 1)))
}

// TestListsAreNotCompounds: in a list of amounts the pound of one and the ounces
// of the next stay apart when a comma parts them.
func TestListsAreNotCompounds(t *testing.T) {
	text := "lard 2 lb, 10 oz coconut"
	r := phrase.Read(text, phrase.Tokens(text), reference, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}})
	require.Len(t, r.Spans, 2)
}

func TestRules(t *testing.T) {
	for text, want := range map[string]phrase.Rule{
		"daily":                          {Freq: "DAILY", Interval: 1},
		"every day":                      {Freq: "DAILY", Interval: 1},
		"every weekday":                  {Freq: "WEEKLY", Interval: 1, Days: days(1, 2, 3, 4, 5)},
		"mon wed fri":                    {Freq: "WEEKLY", Interval: 1, Days: days(1, 3, 5)},
		"mondays":                        {Freq: "WEEKLY", Interval: 1, Days: days(1)},
		"every other saturday":           {Freq: "WEEKLY", Interval: 2, Days: days(6)},
		"every 3 days":                   {Freq: "DAILY", Interval: 3},
		"every 2 weeks on tue":           {Freq: "WEEKLY", Interval: 2, Days: days(2)},
		"last friday monthly":            {Freq: "MONTHLY", Interval: 1, Days: days(5), Nth: -1},
		"first monday of every month":    {Freq: "MONTHLY", Interval: 1, Days: days(1), Nth: 1},
		"every month on the 3rd":         {Freq: "MONTHLY", Interval: 1, MonthDays: []int{3}},
		"on the 15th monthly":            {Freq: "MONTHLY", Interval: 1, MonthDays: []int{15}},
		"mon-fri":                        {Freq: "WEEKLY", Interval: 1, Days: days(1, 2, 3, 4, 5)},
		"every 2 hours":                  {Freq: "HOURLY", Interval: 2},
		"fortnightly on fri":             {Freq: "WEEKLY", Interval: 2, Days: days(5)},
		"every tuesday and thursday":     {Freq: "WEEKLY", Interval: 1, Days: days(2, 4)},
		"the last day of every month":    {Freq: "MONTHLY", Interval: 1, MonthDays: []int{-1}},
		"every wendesday":                {Freq: "WEEKLY", Interval: 1, Days: days(3)},
		"every second tuesday":           {Freq: "WEEKLY", Interval: 2, Days: days(2)},
		"every 2nd tuesday of the month": {Freq: "MONTHLY", Interval: 1, Days: days(2), Nth: 2},
	} {
		t.Run(text, func(t *testing.T) {
			r := phrase.Read(text, phrase.Tokens(text), reference, phrase.Query{Kinds: phrase.Whenever})
			rules := r.Of(phrase.KindRule)
			require.Len(t, rules, 1)
			require.Equal(t, want, rules[0].Value)
			require.True(t, whole(r))
		})
	}
}

func TestTermsSayHowTheyMatched(t *testing.T) {
	list := phrase.NewList("names", []phrase.Entry{
		{Name: "lard"}, {Name: "palm oil", Aliases: []string{"palm"}}, {Name: "palm kernel oil"}, {Name: "mara"}, {Name: "maria"},
	})
	for text, want := range map[string]phrase.Term{
		"lard":            {List: "names", Name: "lard", Match: phrase.Exact},
		"lards":           {List: "names", Name: "lard", Match: phrase.Inflected},
		"lrad":            {List: "names", Name: "lard", Match: phrase.Slip, Slips: 1},
		"palm kernel oil": {List: "names", Name: "palm kernel oil", Match: phrase.Exact},
		"palm oil":        {List: "names", Name: "palm oil", Match: phrase.Exact},
		"marta":           {List: "names", Name: "mara", Match: phrase.Slip, Slips: 1, Others: []string{"maria"}},
	} {
		r := phrase.Read(text, phrase.Tokens(text), reference, phrase.Query{Lists: []*phrase.List{list}})
		require.Len(t, r.Spans, 1, text)
		require.Equal(t, want, r.Spans[0].Value, text)
	}
	r := phrase.Read("unicorn", phrase.Tokens("unicorn"), reference, phrase.Query{Lists: []*phrase.List{list}})
	require.Empty(t, r.Spans)
	require.Len(t, r.Unknown, 1)
}

func days(ds ...time.Weekday) []time.Weekday { return ds }
