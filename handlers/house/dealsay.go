package house

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// sayDealt writes goods as neighbours speak of them: 9 kg tomatoes, 4 l milk, 24 eggs.
func sayDealt(req *desk.Request, g desk.Goods) string {
	return strings.TrimSpace(sayMuch(req, g) + " " + sayItem(g))
}

func sayItem(g desk.Goods) string {
	if g.Dim == storage.Count && g.Each == "" {
		return desk.Counted(g.Amount, g.Item)
	}
	return g.Item
}

// usVolumes are the measures of a US household, largest first, in millilitres.
var usVolumes = []struct {
	name string
	size float64
}{{"gallon", 3785.411784}, {"quart", 946.352946}, {"pint", 473.176473}, {"cup", 236.5882365}}

func sayMuch(req *desk.Request, g desk.Goods) string {
	switch {
	case g.Dim == storage.Mass && !req.House.US && g.Amount >= 1000:
		return trimmed(g.Amount/1000) + " kg"
	case g.Dim == storage.Mass && req.House.US && g.Amount >= pound && isWhole(4*g.Amount/pound):
		return trimmed(math.Round(4*g.Amount/pound)/4) + " lb"
	case g.Dim == storage.Volume && !req.House.US && g.Amount >= 1000:
		return trimmed(g.Amount/1000) + " l"
	case g.Dim == storage.Volume && req.House.US:
		for _, u := range usVolumes {
			if n := g.Amount / u.size; n >= 1 && isWhole(n) {
				return fmt.Sprintf("%.0f %s", n, desk.Counted(math.Round(n), u.name))
			}
		}
	}
	return req.SayAmount(g)
}

// pound is one in grams.
const pound = 453.59237

func isWhole(v float64) bool { return math.Abs(v-math.Round(v)) < 0.01 }

// trimmed writes a number with three places at most.
func trimmed(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v, 'f', 3, 64), "0"), ".")
}
