package soap

import (
	"fmt"
	"strings"
	"time"

	"yardbell/calc/cure"
	"yardbell/calc/lye"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func labelAsks() []desk.Ask {
	setup := []string{"poured 1200 g lard 160 g lye 456 g water", "cut batch 1 into 12 bars"}
	thing := []phrase.Kind{phrase.KindThing}
	return []desk.Ask{
		{
			Name: "label", Command: "batch", Needs: ofBatch, Help: "the text for a batch's label",
			Forms: []string{"^label|labels", "label|labels for|of", "batch * label$"}, Kinds: thing, Lists: []string{"batches"}, Fill: append([]string{"label", "labels", "text", "for"}, soapy...),
			Examples: []desk.Example{{Setup: setup, Line: "label for batch 1"}}, Do: label,
		},
		{
			Name: "batch", Command: "batch", Help: "all about a batch: recipe, lots, weights, bars, cost",
			Forms: []string{"^batch", "^show batch", "what went|is in|into", "^recipe of", "cost of", "what|how * cost"}, Kinds: thing, Lists: []string{"batches"},
			Fill:     append([]string{"show", "about", "all", "what", "went", "into", "cost", "costs", "per", "lots", "much", "did"}, soapy...),
			Examples: []desk.Example{{Setup: setup, Line: "batch 1"}, {Setup: setup, Line: "what went into batch 1"}},
			Plain: func(req *desk.Request) bool {
				return namesBatch(req) || strings.Contains(req.Form, "cost") && (theSoap(req) || req.Mentions("bar") && len(req.Reading.Unknown) == 0)
			}, Do: about,
		},
		{
			Name: "lot", Command: "batch", Text: true, Help: "which batches a lot of fat or lye went into",
			Forms: []string{"^lot", "which|what batches * lot", "where * lot * go|went|used", "which|what batches used|have|had"},
			Examples: []desk.Example{
				{Setup: []string{"larder 5 kg lard lot A12", "poured 1200 g lard 160 g lye 456 g water"}, Line: "lot A12"},
				{Setup: []string{"larder 5 kg lard lot A12", "poured 1200 g lard 160 g lye 456 g water"}, Line: "which batches used lot A12"},
			},
			Plain: func(req *desk.Request) bool { return lotSaid(req) != "" && knownLot(req) }, Do: lotTrace,
		},
	}
}

func makeupOf(r recipe) (lye.Makeup, float64, error) { return lye.MakeupOf(r.fats) }

// label writes the text of a batch's label.
func label(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, nil)
	if err != nil || !ok {
		return reply, err
	}
	k, err := readKept(b.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	names, doubtful, err := k.ingredients(req)
	if err != nil {
		return desk.Reply{}, err
	}
	keeps, err := k.keeps(req)
	if err != nil {
		return desk.Reply{}, err
	}
	net, how, err := netMass(req, b, k)
	if err != nil {
		return desk.Reply{}, err
	}
	_, ready, err := comingSteps(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	name := "Soap"
	if b.Name != "" {
		name = desk.Upper(strings.TrimSuffix(b.Name, " soap")) + " soap"
	}
	date := func(t time.Time) string { return req.WallOf(t).Format("2006-01-02") }
	out := desk.Answer(name,
		"Ingredients: "+strings.Join(names, ", ")+".",
		fmt.Sprintf("Net %s. Batch %d, poured %s.", net, b.Num, date(b.Poured)),
		fmt.Sprintf("Ready %s. Best before %s.", date(ready), date(b.Poured.Add(keeps))))
	out.Assumed = []string{how, "ingredients as they are after the lye has worked, in descending order; names from memory: check them against the current list"}
	if len(doubtful) > 0 {
		out.Assumed = append(out.Assumed, "no label name is certain for "+desk.List(doubtful))
	}
	if ready.After(req.Now) && k.bars() {
		out.Cautions = append(out.Cautions, "Weigh and label after the cure: the net mass has to be true when it is sold.")
	}
	out.Cautions = append(out.Cautions, "Local rules decide what a label has to say, and whether this may be sold: ask your authority first.")
	return out, nil
}

// ingredients are the label names in descending order of mass once the lye has
// worked and the bar has dried: each fat as its soap, glycerin (0.7675 g for each
// gram of sodium hydroxide reacted), water at 11 % of a bar, then the rest.
func (k kept) ingredients(req *desk.Request) (names, doubtful []string, err error) {
	masses := map[string]float64{}
	for _, f := range k.Fats {
		fat, _, err := fatNamed(req, f.Name)
		if err != nil {
			return nil, nil, err
		}
		name := soapName(fat, k)
		if name == "" {
			name = "saponified " + f.Name
			doubtful = append(doubtful, f.Name)
		}
		masses[name] += f.Grams
	}
	low, high := k.cured()
	masses["Aqua"] += 0.11 * (low + high) / 2
	if !k.bars() {
		masses["Aqua"] += k.dissolving()
	}
	masses["Glycerin"] += 0.7675 * k.alkali().Pure()
	for _, e := range k.additions() {
		name := e.additive().Label
		if l, ok := lye.LiquidNamed(e.Name); ok {
			name = desk.Upper(l.Name)
			masses[name] += e.Grams * l.Solids
			continue
		}
		if isAcid(e.Name) {
			name = saltName[e.Name]
		}
		if name == "" {
			name = desk.Upper(e.Name)
			doubtful = append(doubtful, e.Name)
		}
		masses[name] += max(e.Grams, 0.001)
	}
	return sortedNames(masses), doubtful, nil
}

// saltName is what an acid has become.
var saltName = map[string]string{
	"citric acid": "Sodium Citrate", "citric acid monohydrate": "Sodium Citrate", "lactic acid": "Sodium Lactate", "vinegar": "Sodium Acetate", "acetic acid": "Sodium Acetate",
	"ascorbic acid": "Sodium Ascorbate", "tartaric acid": "Sodium Tartrate", "malic acid": "Sodium Malate",
}

// soapName is the label name of a fat's soap with the hydroxides of the recipe.
func soapName(f lye.Fat, k kept) string {
	potassium := strings.ReplaceAll(f.Soap, "Sodium", "Potassium")
	switch {
	case f.Soap == "" || k.Potash == 0:
		return f.Soap
	case k.Lye == 0:
		return potassium
	}
	return f.Soap + " and " + potassium
}

// netMass is what a bar, or the batch when it was not cut, weighs when cured.
func netMass(req *desk.Request, b storage.Batch, k kept) (text, how string, err error) {
	ws, err := req.Tx.Weighings(b.ID)
	if err != nil {
		return "", "", err
	}
	if !k.bars() {
		return "as filled", "the net mass is what is in the bottle: weigh it", nil
	}
	grams, _ := k.cured()
	how = "net mass when dried to 10% water, the least to expect: weigh before you label"
	if len(ws) > 0 && ws[len(ws)-1].At.Sub(b.Poured) >= 4*cure.Week {
		grams, how = ws[len(ws)-1].Grams, "net mass as weighed "+req.SayDay(ws[len(ws)-1].At)
	}
	if b.Bars > 0 {
		return req.Scale().Down(grams/float64(b.Bars)) + " a bar", how, nil
	}
	return req.Scale().Down(grams), how, nil
}

// about shows all that is known of a batch.
func about(req *desk.Request) (desk.Reply, error) {
	b, reply, ok, err := find(req, func(b storage.Batch) (bool, error) {
		gone, err := scrapped(req, b)
		return !gone, err
	})
	if err != nil || !ok {
		return reply, err
	}
	k, err := readKept(b.Recipe)
	if err != nil {
		return desk.Reply{}, err
	}
	line, err := rackLine(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(line)+".", desk.Upper(k.say(req)), fmt.Sprintf("Superfat %s typical.", percent(k.Superfat, 1)))
	lots, err := batchLots(req, b)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, lots...)
	gone, err := req.Tx.Outgoes(b.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, o := range gone {
		text := req.SayDay(o.At) + " " + o.How
		if o.Bars > 0 {
			text += " " + desk.Plural(o.Bars, "bar")
		}
		if o.Whom != "" {
			text += " to " + o.Whom
		}
		out.Lines = append(out.Lines, text)
	}
	out.Buttons = []storage.Button{desk.Labelled("Label", fmt.Sprintf("label for batch %d", b.Num)), desk.Labelled("What bar", fmt.Sprintf("what will the soap of batch %d be like", b.Num))}
	return out, nil
}
