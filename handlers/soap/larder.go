package soap

import (
	"fmt"
	"math"
	"strings"

	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
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
	fats, err := fatsOf(req.Tx, req.House.ID)
	if err != nil {
		return "", err
	}
	for _, list := range []*phrase.List{fats, settingList()} {
		if name, ok := list.Exact(item); ok {
			if name == wordLye {
				name = stockSoda
			}
			return name, nil
		}
	}
	return extraStock(item), nil
}

// extraStock is what an acid, a liquid or an additive is called, however it was
// typed. Scents are many things under one name: each keeps its own.
func extraStock(item string) string {
	low := strings.ToLower(item)
	name, ok := extraList().Exact(item)
	if !ok {
		return low
	}
	if a, is := lye.AdditiveNamed(name); !is || !a.Scent {
		return name
	}
	for _, suffix := range []string{" essential oil", " eo", " oil"} {
		if short, cut := strings.CutSuffix(low, suffix); cut {
			return short
		}
	}
	return low
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
		if _, weighed := l.Holds(storage.Mass); weighed {
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
		out[extraStock(e.Name)] += e.Grams
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
		grams, _ := l.Holds(storage.Mass)
		sum += grams
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

// takeStock takes what a batch used out of the larder, oldest lots first, and
// says what ran short or will. What is not kept in the larder is passed over.
func takeStock(req *desk.Request, b storage.Batch, k kept) ([]string, error) {
	stock, err := inStock(req)
	if err != nil {
		return nil, err
	}
	var out []string
	needs := k.needs()
	for _, name := range sortedNames(needs) {
		lots, need := stock[name], needs[name]
		if len(lots) == 0 {
			continue
		}
		have := left(lots)
		if err := draw(req, b, lots, need); err != nil {
			return nil, err
		}
		if have < need {
			out = append(out, fmt.Sprintf("The larder had only %s of %s.", req.Scale().Nearest(have), name))
		}
		if rest := math.Max(have-need, 0); rest < need {
			if err := lowBell(req, lots[0].Item, rest, need); err != nil {
				return nil, err
			}
			out = append(out, fmt.Sprintf("%s of %s left, less than a batch like this takes: a bell is set to get some.", req.Scale().Nearest(rest), name))
		}
	}
	return out, nil
}

func draw(req *desk.Request, b storage.Batch, lots []storage.Lot, need float64) error {
	for _, l := range lots {
		grams, _ := l.Holds(storage.Mass)
		take := math.Min(need, grams)
		if take <= 0 {
			continue
		}
		if err := req.Tx.AddDraw(l, b.ID, l.In(storage.Mass, take)); err != nil {
			return err
		}
		need -= take
	}
	return nil
}

// lowBell rings the keepers in the next round, once for each thing.
func lowBell(req *desk.Request, item string, rest, need float64) error {
	subject := "larder:" + strings.ToLower(item)
	bells, err := req.Tx.SubjectBells(req.House.ID, subject)
	if err != nil {
		return err
	}
	for _, b := range bells {
		if !b.Stopped && (!b.Next.IsZero() || len(openOf(req, b)) > 0) {
			return nil
		}
	}
	if _, err := req.Tx.PutOnList(req.House.ID, storage.ToGet{Item: item, Wanted: item, Why: "the larder runs low"}, req.Now); err != nil {
		return err
	}
	scale := req.Scale()
	_, err = req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "get more " + item, Hint: fmt.Sprintf("%s left; the last batch took %s.", scale.Nearest(rest), scale.Nearest(need)), Whom: reminders.Keepers,
		Next: reminders.RoundOn(req.House, req.Wall.AddDate(0, 0, 1)), Daily: true, Useful: reminders.UsefulEver, Subject: subject, Why: "the larder runs low", Made: req.Now, Again: "never",
	})
	return err
}

// batchLots says which lots went into a batch and what it cost, a bar too.
func batchLots(req *desk.Request, b storage.Batch) ([]string, error) {
	draws, err := req.Tx.Draws(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out, uncounted []string
	cost, counted := 0.0, false
	for _, d := range draws {
		if d.Batch != b.ID {
			continue
		}
		text := saidOf(req, d)
		if d.Lot.Code != "" {
			text += " of lot " + d.Lot.Code
		}
		text += ", got " + req.SayDay(d.Lot.Got)
		if d.Lot.Whence != "" {
			text += " from " + d.Lot.Whence
		}
		out = append(out, text)
		if d.Lot.Cost < 0 {
			uncounted = append(uncounted, d.Lot.Item)
			continue
		}
		cost, counted = cost+d.Lot.Cost*d.Amount/d.Lot.Amount, true
	}
	if !counted {
		return out, nil
	}
	line := fmt.Sprintf("Cost %.2f", cost)
	if b.Bars > 0 {
		line += fmt.Sprintf(", %.2f a bar", cost/float64(b.Bars))
	}
	if len(uncounted) > 0 {
		line += ", without " + desk.List(uncounted)
	}
	return append(out, line+"."), nil
}

// saidOf writes what was drawn, as the lot counts it.
func saidOf(req *desk.Request, d storage.Draw) string {
	g := desk.GoodsOf(d.Lot)
	g.Amount = d.Amount
	return req.SayGoods(g)
}

// lotSaid is the code behind the word "lot".
func lotSaid(req *desk.Request) string {
	toks := req.Reading.Tokens
	for i, t := range toks {
		if t.Low != "lot" || i+1 >= len(toks) {
			continue
		}
		end := i + 1
		for end+1 < len(toks) && toks[end+1].Glued {
			end++
		}
		return strings.Trim(req.Text[toks[i+1].Start:toks[end].End], "?.!,")
	}
	return ""
}

func knownLot(req *desk.Request) bool {
	lots, err := req.Tx.Lots(req.House.ID, false)
	code := lotSaid(req)
	for _, l := range lots {
		if err == nil && strings.EqualFold(l.Code, code) {
			return true
		}
	}
	return false
}

// lotTrace says which batches a lot went into.
func lotTrace(req *desk.Request) (desk.Reply, error) {
	code := lotSaid(req)
	if code == "" {
		return desk.AskBack("Which lot? By its number, for example: lot A12"), nil
	}
	if !knownLot(req) {
		return desk.AskBack(fmt.Sprintf("There is no lot %s in the larder's book.", desk.Quote(code)), desk.Labelled("Larder", "larder")), nil
	}
	draws, err := req.Tx.Draws(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	all, err := req.Tx.Batches(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	var lines []string
	for _, d := range draws {
		if !strings.EqualFold(d.Lot.Code, code) {
			continue
		}
		for _, b := range all {
			if b.ID == d.Batch {
				lines = append(lines, fmt.Sprintf("%s, poured %s: %s", title(b.Num, b.Name), req.SayDay(b.Poured), saidOf(req, d)))
			}
		}
	}
	if len(lines) == 0 {
		return desk.Answer(fmt.Sprintf("Lot %s went into no batch.", code)), nil
	}
	return desk.Answer(fmt.Sprintf("Lot %s went into:", code), lines...), nil
}
