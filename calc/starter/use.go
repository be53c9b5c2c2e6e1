package starter

// Range is a pair of bounds, Low at most High.
type Range struct{ Low, High float64 }

// Use is what is known of a dough that uses up discard. Shares are of all flour,
// that in the discard included. Discard and raw flour are raw food: bake before
// eating.
type Use struct {
	What      string
	Fat       Range // share of flour
	Salt      Range // share of flour
	Hydration Range // water over flour
	Thickness Range // mm
	Oven      Range // °C
	KeepDays  Range // dry and airtight
}

// Crackers are unleavened crackers of discard (common practice): dock them, bake
// until dry through, cool on a rack. The oven is 325 to 375 °F.
func Crackers() Use {
	return Use{
		What: "crackers", Fat: Range{0.15, 0.30}, Salt: Range{0.015, 0.02}, Hydration: Range{0.45, 0.55},
		Thickness: Range{1, 2}, Oven: Range{(325 - 32) * 5.0 / 9, (375 - 32) * 5.0 / 9}, KeepDays: Range{7, 14},
	}
}

// DiscardKeeps is for how many days discard may wait at 4.4 °C (40 °F) or less
// (common practice).
func DiscardKeeps() Range { return Range{7, 14} }
