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

// TestCardsAreRight types hundreds of recipes and works each out apart: the lye of
// a card is what the formulae give, rounded down by less than a step of the scale;
// in ounces it is the same; and the check of a card gives its superfat back.
func TestCardsAreRight(t *testing.T) {
	h := newHome(t)
	cardOf := func(t *rapid.T, line string) (cardMade, storage.Message) {
		replies := h.say(reminders.Wall(h.now, h.zone).Add(time.Minute), "Maren", line)
		require.Len(t, replies, 1, line)
		require.Equal(t, storage.OK, replies[0].Status, "%s: %s", line, replies[0].Text())
		var text string
		require.NoError(t, h.store.Do(context.Background(), func(tx *storage.Tx) error {
			var err error
			text, _, _, err = tx.LastCard(1, "Maren", h.now.Add(-time.Hour))
			return err
		}))
		var c cardMade
		require.NoError(t, json.Unmarshal([]byte(text), &c))
		return c, replies[0]
	}
	rapid.Check(t, func(t *rapid.T) {
		w := drawWritten(t)
		line := w.line(grams)
		c, reply := cardOf(t, line)
		soda, potash := w.exact()
		for _, pair := range [][2]float64{{soda, c.Lye}, {potash, c.Potash}} {
			require.LessOrEqual(t, pair[1], pair[0]+1e-6, "%s: %s", line, reply.Text())
			require.Greater(t, pair[1], pair[0]-1-1e-6, "%s: %s", line, reply.Text())
		}
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
