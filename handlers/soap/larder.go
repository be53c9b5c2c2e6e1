package soap

import (
	"fmt"
	"math"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// Names under which the larder's lye is found.
const (
	stockSoda   = wordSoda
	stockPotash = wordPotash
)

// stockName is what a thing of the larder is called in recipes: the name in the
// table for a fat, however it was typed.
func stockName(req *desk.Request, item string) (string, error) {
	fats, err := fatsOf(req)
	if err != nil {
		return "", err
	}
	for _, list := range []*phrase.List{fats, settingList(), extraList()} {
		if name, ok := list.Exact(item); ok {
			if name == wordLye {
				name = stockSoda
			}
			return name, nil
		}
	}
	return strings.ToLower(item), nil
}

// inStock sums what is left in the larder by what it is called in recipes, and
// lists the lots, oldest first.
func inStock(req *desk.Request) (map[string][]storage.Lot, error) {
	lots, err := req.Tx.Lots(req.House.ID, true)
	if err != nil {
		return nil, err
	}
	out := map[string][]storage.Lot{}
	for _, l := range lots {
		name, err := stockName(req, l.Item)
		if err != nil {
			return nil, err
		}
		if !l.Volume {
			out[name] = append(out[name], l)
		}
	}
	return out, nil
}

// needs are what a batch takes, by what it is called in the larder.
func (k kept) needs() map[string]float64 {
	out := map[string]float64{}
	for _, f := range k.Fats {
		out[f.Name] += f.Grams
	}
	out[stockSoda] += k.Lye
	out[stockPotash] += k.Potash
	for _, e := range k.additions() {
		out[strings.ToLower(e.Name)] += e.Grams
	}
	for name, g := range out {
		if g <= 0 {
			delete(out, name)
		}
	}
	return out
}

func left(lots []storage.Lot) float64 {
	sum := 0.0
	for _, l := range lots {
		sum += l.Left
	}
	return sum
}

// larderFactor sizes a batch to what the larder holds. What is not kept there at
// all is taken as being at hand, except fats.
func larderFactor(req *desk.Request, k kept) (float64, func(kept) []string, desk.Reply, error) {
	stock, err := inStock(req)
	if err != nil {
		return 0, nil, desk.Reply{}, err
	}
	factor, short := math.Inf(1), ""
	for name, need := range k.needs() {
		have := left(stock[name])
		_, isFat, err := fatNamed(req, name)
		if err != nil {
			return 0, nil, desk.Reply{}, err
		}
		if have <= 0 && !isFat {
			continue
		}
		if f := have / need; f < factor || f == factor && name < short {
			factor, short = f, name
		}
	}
	if !(factor > 0) {
		return 0, nil, desk.Refuse(fmt.Sprintf("There is no %s in the larder.", short), "Put some in: larder 5 kg "+short), nil
	}
	// as much as a whole step of the scale leaves room for
	factor = math.Min(factor, lye.MaxFat/k.fat())
	why := func(kept) []string {
		return []string{fmt.Sprintf("As much as the %s in the larder reaches for.", short)}
	}
	return factor, why, desk.Reply{}, nil
}
