package barn

import (
	"errors"
	"fmt"
	"math/big"
	"slices"
	"strings"
	"time"

	"yardbell/calc/feed"
	"yardbell/calc/growth"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

func weightAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}
	lists := []string{"livestock", "herds"}
	pig := []string{"we have a pig called Hector"}
	girthWords := []string{"girth", "length", "long", "around", "round", "by", "in", "inches", "inch", "cm", "how", "heavy", "is", "a", "the", "with", "and", "of", "what", "does", "weigh", "tape", "heart", "centimetres", "centimeters", "metres", "m", "at", "weight", "from", "taped", "measures", "measured", "for", "x", "much"}
	return []desk.Ask{
		{
			Name: "girth", Command: "girth", Keep: true, Text: true, Question: true, Help: "weight by tape: girth behind the forelegs, and length", Kinds: kinds, Lists: lists,
			Forms: []string{"^girth", "girth", "^tape|taped"}, Examples: []desk.Example{{Line: "girth pig 45 in, 50 in"}, {Line: "girth goat 80 cm length 70 cm"}, {Setup: pig, Line: "girth Hector 100 cm, 90 cm"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, girthWords...)) == 0 && len(lengthsSaid(req))+len(req.Reading.Of(phrase.KindNumber)) >= 2 && len(animalTerms(req)) > 0
			}, Do: girth,
		},
		{
			Name: "weighed", Command: "girth", Keep: true, Text: true, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "herds"}, {Kind: phrase.KindTerm, List: "livestock"}}, Help: "what an animal weighs, and how it grows", Kinds: slices.Concat(dayed, kinds), Lists: lists,
			Forms: []string{"^weighed", "weighs|weighed", "is * kilos|kg|lb|pounds"}, Examples: []desk.Example{{Setup: pig, Line: "Hector weighs 51 kg"}},
			Plain: func(req *desk.Request) bool {
				words := []string{"weighs", "weighed", "is", "now", "today", "at", "in", "the", "kilos", "kg", "lb", "pounds", "on", "about", "yesterday", "just", "this", "scale", "scales", "by"}
				return !asksOrDoubts(req) && len(strangers(req, words...)) == 0 && len(massesSaid(req)) == 1
			}, Do: weighed,
		},
		{
			Name: "growth", Command: "girth", Keep: true, Question: true, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "herds"}, {Kind: phrase.KindTerm, List: "livestock"}}, Help: "how fast one grows, and when it comes to a weight", Kinds: kinds, Lists: lists,
			Forms: []string{"how fast * growing|grow|gaining", "when|whens|when's * kg|kilos|lb|pounds|reach|weigh|be", "how heavy|big is|was", "what does|did * weigh"}, Fill: []string{"how", "fast", "is", "was", "growing", "grow", "gaining", "when", "will", "be", "reach", "weigh", "heavy", "big", "what", "does", "did", "the", "last", "time", "kg", "kilos", "at", "now", "to"},
			Examples: []desk.Example{{Setup: append(slices.Clone(pig), "Hector weighs 30 kg"), Line: "how heavy is Hector"}},
			Plain: func(req *desk.Request) bool {
				return len(strangers(req, "how", "fast", "is", "was", "growing", "grow", "gaining", "when", "will", "be", "reach", "weigh", "heavy", "big", "what", "does", "did", "last", "time", "kg", "kilos", "at", "now", "to")) == 0 && !hasWord(req, "girth")
			}, Do: grows,
		},
		{
			Name: "yield", Command: "girth", Keep: true, Text: true, Question: true, Help: "what one dresses to, and what fat renders to", Kinds: kinds, Lists: lists,
			Forms:    []string{"how much meat|pork|lamb|beef", "dressed weight", "^dressing|dress|dresses", "how much lard|tallow", "^lard|tallow from", "^yield", "hang|hanging weight"},
			Fill:     yieldWords,
			Examples: []desk.Example{{Line: "how much meat from a 250 lb pig"}, {Line: "how much lard from 10 kg back fat"}},
			Plain:    func(req *desk.Request) bool { return len(strangers(req, yieldWords...)) == 0 }, Do: yield,
		},
		{
			Name: "rendered", Command: "girth", Keep: true, Text: true, Help: "fat that was rendered: the lard goes into the larder", Kinds: kinds,
			Forms: []string{"rendered", "^render"}, Examples: []desk.Example{{Line: "rendered 3.2 kg lard from 4 kg back fat"}},
			Plain: func(req *desk.Request) bool {
				return !asksOrDoubts(req) && len(massesSaid(req)) >= 1 && len(strangers(req, append(slices.Clone(yieldWords), "rendered", "into", "got", "down", "today", "made", "came", "it", "and", "i", "we", "this", "morning")...)) == 0
			}, Do: rendered,
		},
	}
}

var yieldWords = []string{"how", "much", "meat", "pork", "beef", "from", "a", "an", "of", "the", "will", "does", "do", "give", "get", "we", "dressed", "weight", "dressing", "dress", "dresses", "to", "lard", "tallow", "fat", "back", "backfat", "leaf", "flare", "kidney", "suet", "caul", "trimmings", "gut", "hanging", "hang", "yield", "live", "what", "is", "out", "in", "pig", "hog", "make", "raw", "at", "lambs", "lb", "kg"}

// lengthsSaid are the lengths of a line in centimetres; figures before "in" are inches.
func lengthsSaid(req *desk.Request) []float64 {
	var out []float64
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Quantity:
			if v.Unit.Dim == measure.Length && v.Top == nil {
				out = append(out, v.Float())
			}
		case *big.Rat:
			next := word(req, s.Past)
			if s.Kind == phrase.KindNumber && (next == "in" || next == "inches" || next == "inch" || next == "\"") {
				out = append(out, ratOf(v)*growth.CMPerInch)
			}
			if s.Kind == phrase.KindNumber && next == "m" {
				out = append(out, ratOf(v)*100)
			}
		}
	}
	return out
}

// massesSaid are the masses of a line in kilograms.
func massesSaid(req *desk.Request) []float64 {
	var out []float64
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Mass && q.Top == nil {
			out = append(out, q.Float()/1000)
		}
	}
	return out
}

// animalSaid is the one animal of a line: its group in the book where it has one, and
// the word for it.
func animalSaid(req *desk.Request, b book) (storage.Herd, string) {
	terms := animalTerms(req)
	if len(terms) == 0 {
		return storage.Herd{}, ""
	}
	t := terms[0].Value.(phrase.Term)
	if t.List == "herds" {
		h, _ := b.numbered(t.ID)
		return h, h.Kind
	}
	ours := slices.Contains([]string{"the", "our", "my"}, word(req, terms[0].First-1)) // "girth pig" is any pig's
	if groups := b.of(t.Name); ours && len(groups) == 1 && groups[0].Head == 1 {
		return groups[0], t.Name
	}
	return storage.Herd{}, t.Name
}

// tapeWord is the word by which the tape's table knows a kind.
func tapeWord(kind string) string {
	b, ok := beastNamed(kind)
	if !ok {
		return kind
	}
	if _, is := growth.TapeFor(b.name); is {
		return b.name
	}
	return b.family
}

// girth weighs by tape.
func girth(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	h, kind := animalSaid(req, b)
	if kind == "" {
		return desk.AskBack("Of which animal? For example: girth pig " + tapeExample(req)), nil
	}
	tape, ok := growth.TapeFor(tapeWord(kind))
	if !ok {
		k, _ := beastNamed(kind)
		return desk.AskBack(fmt.Sprintf("There is no tape for %s; for pigs, cattle, goats, sheep and horses there is.", k.plural)), nil
	}
	sizes := lengthsSaid(req)
	bare := ""
	if numbers := req.Reading.Of(phrase.KindNumber); len(sizes) == 0 && len(numbers) == 2 { // in the household's own units
		unit := 1.0
		if bare = "centimetres"; req.House.US {
			unit, bare = growth.CMPerInch, "inches"
		}
		for _, n := range numbers {
			sizes = append(sizes, ratOf(n.Value.(*big.Rat))*unit)
		}
	}
	if len(sizes) == 1 && len(req.Reading.Of(phrase.KindNumber)) == 2 { // girth 45 length 50 in
		sizes = nil
	}
	if len(sizes) != 2 {
		out := desk.AskBack(fmt.Sprintf("Girth and length, with their unit. For example: girth %s %s", kind, tapeExample(req)))
		out.Lines = []string{fmt.Sprintf("Girth close behind the forelegs; length from %s.", tape.LengthFrom)}
		return out, nil
	}
	g, l := sizes[0], sizes[1]
	if i := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "length" || t.Low == "long" }); i >= 0 {
		if j := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "girth" }); j > i && j > 1 {
			g, l = l, g
		}
	}
	e, err := growth.GirthWeight(tapeWord(kind), g, l)
	if err != nil {
		return desk.AskBack(fmt.Sprintf("%.0f cm around and %.0f cm long cannot be a %s. Girth first, then length: girth %s %s", g, l, kind, kind, tapeExample(req))), nil //nolint:nilerr // said to the person
	}
	out, err := taped(req, h, kind, tape, e)
	if bare != "" {
		out.Assumed = append(out.Assumed, "read as "+bare)
	}
	return out, err
}

// tapeExample is a girth and a length in the household's units.
func tapeExample(req *desk.Request) string {
	if req.House.US {
		return "40 in, 36 in"
	}
	return "100 cm, 90 cm"
}

// taped says a weight by tape, and keeps it for an animal of the book.
func taped(req *desk.Request, h storage.Herd, kind string, tape growth.Tape, e growth.Estimate) (desk.Reply, error) {
	name := "the " + kind
	if h.ID != 0 {
		name = called(h)
	}
	out := desk.Answer(fmt.Sprintf("About %s, %s by tape.", sayLive(req, e.KG), name), fmt.Sprintf("From %s to %s: a tape is 5 to 10%% off.", sayLive(req, e.Low), sayLive(req, e.High)))
	if e.Poor {
		out.Lines = append(out.Lines, "So light a one fits the formula poorly: use a scale.")
	}
	out.Assumed = []string{fmt.Sprintf("girth close behind the forelegs, length from %s; girth² x length / %.0f in inches and pounds", tape.LengthFrom, tape.Divisor)}
	out.Cautions = []string{"Not for a dose without the vet's word."}
	if h.ID == 0 || req.Guest {
		return out, nil
	}
	if err := req.Record(storage.Entry{Kind: "weighed", Text: fmt.Sprintf("%s by tape: %s", name, sayLive(req, e.KG))}); err != nil {
		return desk.Reply{}, err
	}
	return out, req.Tx.AddWeight(req.House.ID, storage.Weight{Herd: h.ID, Name: name, Day: dayOf(req), Grams: e.KG * 1000, How: "tape"})
}

// sayLive writes the weight of an animal.
func sayLive(req *desk.Request, kg float64) string {
	v, unit := kg, "kg"
	if req.House.US {
		v, unit = kg/poundKg, "lb"
	}
	if v < 10 {
		return fmt.Sprintf("%.1f %s", v, unit)
	}
	return fmt.Sprintf("%.0f %s", v, unit)
}

// mostGain is how much heavier than the last time an animal may be a day, as a share of
// it, before the figure is asked about; with as much besides for two scales.
const mostGain = 0.05

// weighed writes a weight down and says how the animal grows.
func weighed(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	h, kind := animalSaid(req, b)
	masses := massesSaid(req)
	switch {
	case h.ID == 0 && kind == "" && req.Direct:
		return desk.AskBack("Which animal? It has to be in the flock book with its name: we have a pig called Hector"), nil
	case h.ID == 0 && !req.Direct:
		return desk.Reply{}, desk.ErrSilent
	case h.ID == 0:
		return desk.AskBack("Which one? It has to be in the flock book with its name: we have a pig called Hector"), nil
	case len(masses) != 1:
		return desk.AskBack(fmt.Sprintf("How heavy, with its unit? For example: %s weighs 51 kg", called(h))), nil
	}
	when, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	day, kg := reminders.Day(when), masses[0]
	before, err := weightsOf(req, h)
	if err != nil {
		return desk.Reply{}, err
	}
	if reply := unlikely(req, h, before, day, kg); reply.Head != "" {
		return reply, nil
	}
	how := "scale"
	if hasWord(req, "tape") {
		how = "tape"
	}
	if err := req.Record(storage.Entry{Kind: "weighed", Happened: at(req, when), Text: fmt.Sprintf("%s weighs %s", called(h), sayKg(req, kg))}); err != nil {
		return desk.Reply{}, err
	}
	if err := req.Tx.AddWeight(req.House.ID, storage.Weight{Herd: h.ID, Name: called(h), Day: day, Grams: kg * 1000, How: how}); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s weighs %s.", desk.Upper(called(h)), sayKg(req, kg)))
	if len(before) > 0 {
		out.Lines = gainLines(req, before[len(before)-1], growth.Weighing{Day: day, KG: kg})
	}
	return out, nil
}

// unlikely asks about a weight that no animal comes to in the time.
func unlikely(req *desk.Request, h storage.Herd, before []growth.Weighing, day time.Time, kg float64) desk.Reply {
	if kg <= 0 || kg > 1500 {
		return desk.AskBack(fmt.Sprintf("%s cannot weigh %s. How heavy?", desk.Upper(called(h)), sayKg(req, kg)))
	}
	if len(before) == 0 || hasWord(req, "really") {
		return desk.Reply{}
	}
	last := before[len(before)-1]
	gone := max(float64(days(last.Day, day)), 1)
	if most := last.KG * (1.15 + mostGain*gone); kg > most || kg < last.KG*0.6 {
		return desk.AskBack(fmt.Sprintf("%s weighed %s on %s: %s now? Weigh again, or say: %s really weighs %s", desk.Upper(called(h)), sayKg(req, last.KG), sayDate(req, last.Day), sayKg(req, kg), called(h), sayKg(req, kg)))
	}
	return desk.Reply{}
}

// weightsOf are the weights of an animal, by day.
func weightsOf(req *desk.Request, h storage.Herd) ([]growth.Weighing, error) {
	all, err := req.Tx.Weights(req.House.ID)
	if err != nil {
		return nil, err
	}
	var out []growth.Weighing
	for _, w := range all {
		if w.Herd == h.ID {
			one := growth.Weighing{Day: w.Day, KG: w.Grams / 1000, Error: growth.ScaleError}
			if w.How == "tape" {
				one.Error = growth.TapeError
			}
			out = append(out, one)
		}
	}
	return out, nil
}

// gainLines say what an animal put on between two weighings.
func gainLines(req *desk.Request, a, b growth.Weighing) []string {
	gain, err := growth.DailyGain(a, b)
	if err != nil {
		return nil
	}
	n := days(a.Day, b.Day)
	if gain < 0 {
		return []string{fmt.Sprintf("%s less than %s ago: off its feed? The vet if it is dull.", sayKg(req, a.KG-b.KG), counted(n, "day", "days"))}
	}
	return []string{fmt.Sprintf("%s more in %s: %s a day.", sayKg(req, b.KG-a.KG), counted(n, "day", "days"), sayKg(req, gain))}
}

// grows says how heavy an animal was, how fast it grows, and when it comes to a weight.
func grows(req *desk.Request) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	h, _ := animalSaid(req, b)
	if h.ID == 0 {
		return desk.Reply{}, desk.ErrSilent
	}
	all, err := weightsOf(req, h)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer(fmt.Sprintf("%s has not been weighed. For example: %s weighs 51 kg; girth %s 100 cm, 90 cm", desk.Upper(called(h)), called(h), called(h))), nil
	}
	last := all[len(all)-1]
	if target := massesSaid(req); len(target) == 1 {
		return reaches(req, h, all, target[0])
	}
	out := desk.Answer(fmt.Sprintf("%s weighed %s on %s.", desk.Upper(called(h)), sayKg(req, last.KG), sayDate(req, last.Day)))
	if len(all) > 1 {
		out.Lines = gainLines(req, all[0], last)
	}
	return out, nil
}

// reaches says when an animal comes to a weight if it goes on as it has.
func reaches(req *desk.Request, h storage.Herd, all []growth.Weighing, kg float64) (desk.Reply, error) {
	f, err := growth.Reach(all, kg)
	switch {
	case errors.Is(err, growth.ErrTooFew):
		return desk.Answer(fmt.Sprintf("One weighing says nothing of the growth: weigh %s again in two weeks.", called(h))), nil
	case errors.Is(err, growth.ErrNoGain):
		return desk.Answer(fmt.Sprintf("%s puts nothing on by its weighings.", desk.Upper(called(h)))), nil
	case err != nil:
		return desk.AskBack(fmt.Sprintf("%s cannot be. For example: when will %s be 110 kg", sayKg(req, kg), called(h))), nil
	case f.Reached:
		return desk.Answer(fmt.Sprintf("%s is there: %s on %s.", desk.Upper(called(h)), sayKg(req, all[len(all)-1].KG), sayDate(req, all[len(all)-1].Day))), nil
	}
	out := desk.Answer(fmt.Sprintf("%s comes to %s about %s.", desk.Upper(called(h)), sayKg(req, kg), sayDate(req, f.Day)))
	if f.Late.IsZero() {
		out.Lines = append(out.Lines, fmt.Sprintf("Likely after %s; the weighings do not bound how late.", sayDate(req, f.Early)))
	} else {
		out.Lines = append(out.Lines, fmt.Sprintf("Likely between %s and %s.", sayDate(req, f.Early), sayDate(req, f.Late)))
	}
	out.Lines = append(out.Lines, fmt.Sprintf("%s a day so far.", sayKg(req, f.Gain)))
	if f.Far {
		out.Lines = append(out.Lines, "That is further ahead than it was watched: growth bends, weigh again.")
	}
	return out, nil
}

// fats are the words for raw fat, the longest first.
var fats = []string{"leaf fat", "leaf lard", "leaf", "flare fat", "flare", "back fat", "backfat", "fatback", "kidney fat", "suet", "beef fat", "caul fat", "caul", "gut fat", "trimmings", "pork fat", "mutton fat", "fat"}

func fatSaid(req *desk.Request) (growth.Share, bool) {
	text := " " + strings.Join(phrase.Words(req.Text), " ") + " "
	for _, f := range fats {
		if strings.Contains(text, " "+f+" ") {
			return growth.RenderingOf(f)
		}
	}
	return growth.Share{}, false
}

// yield answers what an animal dresses to, or fat renders to.
func yield(req *desk.Request) (desk.Reply, error) {
	masses := massesSaid(req)
	if share, ok := fatSaid(req); ok && hasWord(req, "lard", "tallow") {
		if len(masses) != 1 {
			return desk.AskBack("From how much raw fat? For example: how much lard from 10 kg back fat"), nil
		}
		b, err := share.From(masses[0])
		if err != nil {
			return desk.AskBack("That cannot be. For example: how much lard from 10 kg back fat"), nil //nolint:nilerr // said to the person
		}
		out := desk.Answer(fmt.Sprintf("About %s from %s of raw fat: %s to %s.", sayKg(req, b.Typical), sayKg(req, masses[0]), sayKg(req, b.Low), sayKg(req, b.High)))
		out.Assumed = []string{"keepers' practice; weigh your own batch: rendered 3.2 kg lard from 4 kg back fat"}
		out.Cautions = hotFat
		return out, nil
	}
	return dresses(req, masses)
}

// hotFat is said wherever fat is rendered.
var hotFat = []string{"Hot fat is an adult's work: low heat, a lid at hand, no water in it, children out."}

func dresses(req *desk.Request, masses []float64) (desk.Reply, error) {
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	h, kind := animalSaid(req, b)
	if kind == "" {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.AskBack("Of which animal, and how heavy? For example: how much meat from a 250 lb pig"), nil
	}
	if len(masses) == 0 && h.ID != 0 {
		all, err := weightsOf(req, h)
		if err != nil {
			return desk.Reply{}, err
		}
		if len(all) > 0 {
			masses = []float64{all[len(all)-1].KG}
		}
	}
	if len(masses) != 1 {
		example := "110 kg"
		if k, ok := feed.KindNamed(kind); ok {
			example = sayKg(req, k.Weight)
		}
		return desk.AskBack(fmt.Sprintf("How heavy is one alive? For example: how much meat from a %s %s", example, kind)), nil
	}
	k, _ := beastNamed(kind)
	band, err := growth.Carcass(kind, masses[0])
	if err != nil {
		band, err = growth.Carcass(k.family, masses[0])
	}
	if err != nil {
		return desk.AskBack(fmt.Sprintf("I have no dressing figure for %s.", k.plural)), nil //nolint:nilerr // said to the person
	}
	out := desk.Answer(fmt.Sprintf("About %s hung, from %s alive: %s to %s.", sayKg(req, band.Typical), sayKg(req, masses[0]), sayKg(req, band.Low), sayKg(req, band.High)))
	if k.family == "pig" {
		if y, err := growth.Pig(masses[0], false); err == nil {
			out.Lines = []string{
				fmt.Sprintf("%s cut and wrapped", sayKg(req, y.Cuts.Typical)), fmt.Sprintf("%s back and leaf fat, %s lard of it", sayKg(req, y.Fat.Typical), sayKg(req, y.Lard.Typical)),
				"An old lard breed has two to three times the fat.",
			}
		}
	}
	out.Assumed = []string{"by its usual dressing share; breed, gut fill and feeding move it"}
	return out, nil
}

// rendered writes down what was rendered and puts it into the larder.
func rendered(req *desk.Request) (desk.Reply, error) {
	if !req.Grown() {
		return desk.Refuse("Rendering is hot fat, an adult's work: an adult writes it down."), nil
	}
	raw, got, reply := renderSaid(req)
	if reply.Head != "" {
		return reply, nil
	}
	item := "lard"
	if s, ok := fatSaid(req); ok && s.Name == "suet" || hasWord(req, "tallow", "beef") {
		item = "tallow"
	}
	text := fmt.Sprintf("%s %s rendered", sayKg(req, got), item)
	if raw > 0 {
		text += fmt.Sprintf(" from %s raw fat (%.0f%%)", sayKg(req, raw), 100*got/raw)
	}
	if err := req.Record(storage.Entry{Kind: "rendered", Text: text}); err != nil {
		return desk.Reply{}, err
	}
	lot := storage.Lot{Household: req.House.ID, Item: item, Got: req.Now, Amount: got * 1000, Left: got * 1000, Dim: storage.Mass, Cost: -1, Whence: "our own"}
	if _, err := req.Tx.AddLot(lot); err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(desk.Upper(text)+".", fmt.Sprintf("%s into the larder, for the kitchen and the soap.", req.Scale().Nearest(got*1000)))
	if share, ok := fatSaid(req); ok && raw > 0 {
		out.Lines = append(out.Lines, fmt.Sprintf("%.0f to %.0f%% is usual.", 100*share.Of.Low, 100*share.Of.High))
	}
	out.Cautions = hotFat
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// renderSaid is how much raw fat there was, 0 when not told, and how much came of it.
func renderSaid(req *desk.Request) (raw, got float64, reply desk.Reply) {
	example := desk.AskBack("How much of what? For example: rendered 3.2 kg lard from 4 kg back fat")
	var spans []phrase.Span
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		if s.Value.(phrase.Quantity).Unit.Dim == measure.Mass {
			spans = append(spans, s)
		}
	}
	if len(spans) == 0 || len(spans) > 2 {
		return 0, 0, example
	}
	for _, s := range spans {
		kg := s.Value.(phrase.Quantity).Float() / 1000
		product := false
		for i := s.Past; i < len(req.Reading.Tokens) && i <= s.Past+1; i++ {
			product = product || (word(req, i) == "lard" || word(req, i) == "tallow") && word(req, i-1) != "leaf"
		}
		if before := word(req, s.First-1); before == "into" || before == "got" || before == "made" || product {
			got = kg
			continue
		}
		raw = kg
	}
	switch {
	case got <= 0:
		return 0, 0, example
	case raw > 0 && got > raw:
		return 0, 0, desk.AskBack(fmt.Sprintf("%s from %s of raw fat? It renders to less. Say it again: rendered 3.2 kg lard from 4 kg back fat", sayKg(req, got), sayKg(req, raw)))
	}
	return raw, got, desk.Reply{}
}
