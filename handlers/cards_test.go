package handlers_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"yardbell/calc/lye"
	"yardbell/reminders"
	"yardbell/storage"
)

// written is a recipe as somebody may type it, with what it has to come to.
type written struct {
	fats     []lye.Portion
	superfat int // percent
	potash   bool
	share    int // of the work by sodium hydroxide, percent; 100 when there is no potassium
	soda     int // purities, percent
	koh      int
	acid     string
	acidG    int

	nameFirst bool // typed as "lard 500 g"
	mixed     bool // now so, now so
	extra     string
}

// cardMade is what a card has kept.
type cardMade struct {
	Fats   []struct{ G float64 }
	Lye    float64 `json:"lye_g"`
	Potash float64 `json:"potash_g"`
	Water  float64 `json:"water_g"`
}

var cardFats = []string{"lard", "beef tallow", "coconut oil 76", "olive oil", "castor oil", "sunflower oil", "palm oil", "cocoa butter"}

func drawWritten(t *rapid.T) written {
	w := written{superfat: rapid.IntRange(5, 14).Draw(t, "superfat"), share: 100, soda: rapid.IntRange(96, 100).Draw(t, "soda")}
	for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(cardFats), 1, 4, rapid.ID[string]).Draw(t, "fats") {
		f, _ := lye.FatNamed(name)
		w.fats = append(w.fats, lye.Portion{Fat: f, Grams: float64(rapid.IntRange(300, 2000).Draw(t, "grams"))})
	}
	if rapid.Bool().Draw(t, "potash") {
		w.potash, w.koh = true, rapid.IntRange(85, 95).Draw(t, "koh")
		w.share = rapid.SampledFrom([]int{0, 20, 50, 90, 95}).Draw(t, "share")
	}
	if rapid.Bool().Draw(t, "acid") {
		w.acid, w.acidG = rapid.SampledFrom([]string{"citric acid", "ascorbic acid", "vinegar"}).Draw(t, "which"), rapid.IntRange(1, 15).Draw(t, "acid g")
	}
	return w
}

// line types the recipe, each mass in the unit given.
func (w written) line(mass func(g float64) string) string {
	var parts []string
	for _, p := range w.fats {
		parts = append(parts, mass(p.Grams)+" "+p.Fat.Name)
	}
	parts = append(parts, fmt.Sprintf("superfat %d%%", w.superfat))
	switch {
	case !w.potash:
		parts = append(parts, fmt.Sprintf("naoh purity %d%%", w.soda))
	case w.share == 0:
		parts = append(parts, fmt.Sprintf("koh, koh purity %d%%", w.koh))
	default:
		parts = append(parts, fmt.Sprintf("%d:%d naoh to koh, naoh purity %d%%, koh purity %d%%", w.share, 100-w.share, w.soda, w.koh))
	}
	if w.acid != "" {
		parts = append(parts, mass(float64(w.acidG))+" "+w.acid)
	}
	return "lye " + strings.Join(parts, ", ")
}

// exact is the lye by the formulae alone: demand x (1 - superfat) and what the
// acid takes up, by moles, each hydroxide over its purity.
func (w written) exact() (soda, potash float64) {
	koh := 0.0 // g of pure potassium hydroxide for all of it
	for _, p := range w.fats {
		koh += p.Grams * p.Fat.Typical / 1000
	}
	moles := koh / 56.106 * (1 - float64(w.superfat)/100)
	g := float64(w.acidG)
	moles += map[string]float64{"citric acid": 3 * g / 192.12, "ascorbic acid": g / 176.12, "vinegar": 0.05 * g / 60.05}[w.acid]
	x := float64(w.share) / 100
	return moles * x * 39.997 / (float64(w.soda) / 100), moles * (1 - x) * 56.106 / (math.Max(float64(w.koh), 1) / 100)
}

func grams(g float64) string { return fmt.Sprintf("%g g", g) }

// card types a line and returns the card that it left, if it was answered with one.
func (h *home) card(t *rapid.T, line string) (cardMade, storage.Message) {
	replies := h.say(reminders.Wall(h.now, h.zone).Add(time.Minute), "Maren", line)
	require.Len(t, replies, 1, line)
	var text string
	require.NoError(t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
		c, _, err := tx.LastCard(1, "Maren", h.now)
		text = c.Recipe
		return err
	}))
	var c cardMade
	if text != "" {
		require.NoError(t, json.Unmarshal([]byte(text), &c))
	}
	return c, replies[0]
}

// has fails unless the card weighs those hydroxides, rounded down by less than a
// step of the scale.
func (c cardMade) has(t *rapid.T, soda, potash float64, line string, reply storage.Message) {
	for _, pair := range [][2]float64{{soda, c.Lye}, {potash, c.Potash}} {
		require.LessOrEqual(t, pair[1], pair[0]+1e-6, "%s: %s", line, reply.Text())
		require.Greater(t, pair[1], pair[0]-1-1e-6, "%s: %s", line, reply.Text())
	}
}

// TestCardsAreRight types hundreds of recipes and works each out apart: the lye of
// a card is what the formulae give, rounded down by less than a step of the scale;
// in ounces it is the same; and the check of a card gives its superfat back.
func TestCardsAreRight(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	cardOf := func(t *rapid.T, line string) (cardMade, storage.Message) {
		c, reply := h.card(t, line)
		require.Equal(t, storage.OK, reply.Status, "%s: %s", line, reply.Text())
		return c, reply
	}
	rapid.Check(t, func(t *rapid.T) {
		w := drawWritten(t)
		line := w.line(grams)
		c, reply := cardOf(t, line)
		soda, potash := w.exact()
		c.has(t, soda, potash, line, reply)
		inOunces, _ := cardOf(t, w.line(func(g float64) string { return fmt.Sprintf("%.9f oz", g/28.349523125) }))
		require.InDelta(t, c.Lye, inOunces.Lye, 1e-6)
		require.InDelta(t, c.Potash, inOunces.Potash, 1e-6)
		require.InDelta(t, c.Water, inOunces.Water, 1e-4)

		_, check := cardOf(t, strings.Replace(strings.Replace(line, fmt.Sprintf("%d:%d naoh to koh, ", w.share, 100-w.share), "", 1), "lye ", "check "+given(c), 1))
		demand, _ := lye.DemandOf(w.fats)
		eaten, _ := written{acid: w.acid, acidG: w.acidG, share: 100, soda: 100}.exact()
		pure := c.Lye*float64(w.soda)/100 + c.Potash*float64(w.koh)/100*lye.NaOHPerKOH
		require.Contains(t, check.Head, fmt.Sprintf("superfat of %.1f%%", 100*(1-(pure-eaten)/demand.Typical)), line)
	})
}

// given types the lye of a card.
func given(c cardMade) string {
	text := ""
	if c.Lye > 0 {
		text += fmt.Sprintf("%g g naoh, ", c.Lye)
	}
	if c.Potash > 0 {
		text += fmt.Sprintf("%g g koh, ", c.Potash)
	}
	return text
}

// spoken types the recipe in one of the ways people do: amounts or names first, in
// any order of the parts, with or without commas.
func (w *written) spoken(t *rapid.T) string {
	pick := func(name string, of ...string) string { return rapid.SampledFrom(of).Draw(t, name) }
	amount := func(mass, name string) string {
		if w.nameFirst || w.mixed && rapid.Bool().Draw(t, "name first here") {
			return name + " " + mass
		}
		return mass + pick("of", " ", " of ") + name
	}
	var parts []string
	for _, p := range w.fats {
		mass := pick("mass", grams(p.Grams), fmt.Sprintf("%gg", p.Grams), fmt.Sprintf("%g kg", p.Grams/1000), fmt.Sprintf("%g grams", p.Grams))
		parts = append(parts, amount(mass, p.Fat.Name))
	}
	parts = append(parts, pick("superfat", fmt.Sprintf("superfat %d%%", w.superfat), fmt.Sprintf("%d%% superfat", w.superfat), fmt.Sprintf("sf %d", w.superfat), fmt.Sprintf("superfat of %d percent", w.superfat)))
	if w.potash {
		parts = append(parts, pick("koh", fmt.Sprintf("koh purity %d%%", w.koh), fmt.Sprintf("koh is %d%% pure", w.koh), fmt.Sprintf("potassium hydroxide purity %d%%", w.koh)))
	}
	if w.potash && w.share > 0 {
		parts = append(parts, pick("mix", fmt.Sprintf("%d:%d naoh to koh", w.share, 100-w.share), fmt.Sprintf("%d:%d koh:naoh", 100-w.share, w.share), fmt.Sprintf("%d%% naoh %d%% koh", w.share, 100-w.share), fmt.Sprintf("koh/naoh %d:%d", 100-w.share, w.share)),
			fmt.Sprintf("naoh purity %d%%", w.soda))
	}
	if !w.potash {
		parts = append(parts, pick("soda", fmt.Sprintf("lye purity %d%%", w.soda), fmt.Sprintf("purity %d%%", w.soda), fmt.Sprintf("naoh %d%% pure", w.soda)))
	}
	if w.acid != "" {
		parts = append(parts, amount(grams(float64(w.acidG)), w.acid))
	}
	parts = append(parts, pick("water", "2:1 water", "33% solution", "water 38%", "38% water", "goat milk instead of water", "500 g water"), pick("more", "1% sugar", "20 g lavender oil", "please", ""))
	if w.extra = rapid.SampledFrom([]string{"", "", "1% clay", "250 ml beer", "salt 10 g", "oats 2%", "water at 10C"}).Draw(t, "extra"); w.extra != "" {
		parts = append(parts, w.extra)
	}
	parts = rapid.Permutation(parts).Draw(t, "order")
	return pick("verb", "lye ", "lye for ", "how much lye for ", "/lye ", "work out the lye for ") + strings.Join(parts, pick("between", ", ", " ", " and ", "; "))
}

// TestSpokenRecipes types recipes in every order and manner. What is answered has
// to be right to the gram; what cannot be told is asked or refused.
func TestSpokenRecipes(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	answered, lines := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		w := drawWritten(t)
		w.nameFirst = rapid.Bool().Draw(t, "name first")
		w.mixed = rapid.IntRange(0, 3).Draw(t, "mixed") == 0
		line := w.spoken(t)
		c, reply := h.card(t, line)
		lines++
		if reply.Status != storage.OK {
			return
		}
		answered++
		soda, potash := w.exact()
		c.has(t, soda, potash, line, reply)
	})
	t.Logf("%d of %d lines answered", answered, lines)
	require.Greater(t, answered, lines/2)
}

// TestNoAmountShifts types recipes that lead with a word for lye. One amount too
// many is a question; a second word for lye that has a weight keeps it, and the
// superfat is worked out apart from that.
func TestNoAmountShifts(t *testing.T) {
	t.Parallel()
	h := newHome(t)
	rapid.Check(t, func(t *rapid.T) {
		var fats []lye.Portion
		for _, name := range rapid.SliceOfNDistinct(rapid.SampledFrom(cardFats), 2, 4, rapid.ID[string]).Draw(t, "fats") {
			f, _ := lye.FatNamed(name)
			fats = append(fats, lye.Portion{Fat: f, Grams: float64(rapid.IntRange(50, 2000).Draw(t, "grams"))})
		}
		var parts []string
		for _, p := range fats {
			parts = append(parts, grams(p.Grams)+" "+p.Fat.Name)
		}
		between := rapid.SampledFrom([]string{" ", ", "}).Draw(t, "between")
		lead := rapid.SampledFrom([]string{"lye ", "naoh ", "lye check ", "is the lye right ", "lye soap "}).Draw(t, "lead")
		recipe := lead + strings.Join(parts, between)

		left := rapid.SampledFrom([]string{", 20 g citric acid 2%", ", 15 g lavender 1.5%", between + "300 g", ", 10 g salt 1%"}).Draw(t, "left over")
		_, reply := h.card(t, recipe+left)
		require.NotEqual(t, storage.OK, reply.Status, "%s: %s", recipe+left, reply.Text())

		demand, err := lye.DemandOf(fats)
		require.NoError(t, err)
		given := float64(rapid.IntRange(int(demand.Typical*0.7), int(demand.Typical*1.3)).Draw(t, "lye"))
		tail := rapid.SampledFrom([]string{" lye with %g g water", " lye on %g g water", " naoh goes in %g g water", " naoh for a %g g water mix", " lye with water %g g"}).Draw(t, "tail")
		line := recipe + between + grams(given) + fmt.Sprintf(tail, math.Round(2*given))
		_, reply = h.card(t, line)
		require.Contains(t, reply.Text(), fmt.Sprintf("uperfat %.1f%% typical", 100*(1-given/demand.Typical)), "%s: %s", line, reply.Text())
	})
}
