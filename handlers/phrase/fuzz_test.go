package phrase_test

import (
	"fmt"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"yardbell/handlers/phrase"
)

var everyKind = append([]phrase.Kind{
	phrase.KindNumber, phrase.KindQuantity, phrase.KindShare, phrase.KindRatio, phrase.KindDuration, phrase.KindThing,
}, phrase.Whenever...)

var herbs = phrase.NewList("herbs", []phrase.Entry{{Name: "basil"}, {Name: "bay leaf", Aliases: []string{"bay"}}, {Name: "thyme", ID: 3}})

var seeds = []string{
	"lye for 900 g tallow and 300 g coconut", "1 1/2 cups", "1½ cup", "2-3 kg", "½", "31 June", "every other saturday at 9", "last friday monthly",
	"-5 g", "1e9 kg", "NaN", "1,200g", "1,5 kg", "25:00", "6/6/6/6", "in 40 min", "half past five", "a dozen of a half a", "the the the", "2 lb 10 oz",
	"\u202eevil\u202c 5 g", "\x00\x01\xff", "９００ g", "…—–", "1/0 cup", "in 99999999999999999999 years", "on the 31st", "until until until", "batch #",
	"12.5.2027", "a week on a week on friday", "minus minus three", "one point point five", "twenty hundred thousand thousand", "29 feb",
	"5, 8 and 9 march", "from from from the 31st", "between 8 and 7 march", "every every", "31, 30 and 29 february", "for 100 fortnights", "good friday week",
}

// FuzzReaders runs every reader over any bytes: nothing panics, spans lie inside
// the text in order, and each kind of span holds its own type of value.
func FuzzReaders(f *testing.F) {
	for _, s := range seeds {
		f.Add(s, true)
	}
	f.Fuzz(func(t *testing.T, text string, dayFirst bool) {
		ctx := reference
		ctx.DayFirst, ctx.US = dayFirst, !dayFirst
		toks := phrase.Tokens(text)
		r := phrase.Read(text, toks, ctx, phrase.Query{Kinds: everyKind, Lists: []*phrase.List{herbs}})
		last := 0
		for _, s := range r.Spans {
			require.GreaterOrEqual(t, s.Start, last)
			require.Greater(t, s.End, s.Start)
			require.LessOrEqual(t, s.End, len(text))
			require.Equal(t, text[s.Start:s.End], s.Text)
			require.NotNil(t, s.Value)
			last = s.End
		}
		for _, kind := range everyKind { // each reader alone, so that none hides behind another
			phrase.Read(text, toks, ctx, phrase.Query{Kinds: []phrase.Kind{kind}})
		}
		r.Moment(ctx, phrase.Future)
		r.Moment(ctx, phrase.Past)
		r.Daily()
		days := phrase.ReadDays(text, toks, ctx, dayFirst)
		require.Len(t, days.Covered, len(toks))
		require.True(t, utf8.ValidString(r.Rest(func(phrase.Span) bool { return true })) || !utf8.ValidString(text))
	})
}

// FuzzRoundTrip writes amounts and reads them back exactly.
func FuzzRoundTrip(f *testing.F) {
	f.Add(int64(1200), int64(1), uint8(0))
	f.Add(int64(3), int64(8), uint8(2))
	f.Add(int64(7), int64(2), uint8(5))
	units := []string{"g", "kg", "cup", "lb", "oz", "tsp", "tbsp", "ml"}
	f.Fuzz(func(t *testing.T, num, den int64, unit uint8) {
		if num <= 0 || den <= 0 || num > 1e9 || den > 1e4 {
			return
		}
		text := fmt.Sprintf("%d/%d %s", num, den, units[int(unit)%len(units)])
		r := phrase.Read(text, phrase.Tokens(text), reference, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}})
		require.Len(t, r.Spans, 1, text)
		q := r.Spans[0].Value.(phrase.Quantity)
		require.Zero(t, q.Amount.Cmp(ratOf(num, den)), "%s read as %s", text, q.Amount)
	})
}
