package house

import (
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

func sayMuch(req *desk.Request, g desk.Goods) string {
	switch {
	case g.Dim == storage.Mass && !req.House.US && g.Amount >= 1000:
		return trimmed(g.Amount/1000) + " kg"
	case g.Dim == storage.Mass && req.House.US && g.Amount >= pound && isWhole(4*g.Amount/pound):
		return trimmed(math.Round(4*g.Amount/pound)/4) + " lb"
	case g.Dim == storage.Volume && !req.House.US && g.Amount >= 1000:
		return trimmed(g.Amount/1000) + " L"
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
