package garden

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

func seedAsks() []desk.Ask {
	counts := []phrase.Kind{phrase.KindNumber, phrase.KindShare, phrase.KindDuration, phrase.KindAfter}
	sizes := []phrase.Kind{phrase.KindNumber, phrase.KindQuantity, phrase.KindShare}
	return []desk.Ask{
		{
			Name: "seeds", Command: "seeds", Needs: ofCrop, Doubt: true, Help: "how many seeds, or cells, for so many plants",
			Forms: []string{"^seeds", "how many * seed|seeds|cells|trays", "^how many * to sow|start", "seed|seeds * how many", "how many * do i|we sow", "to be sure of", "old * seed|seeds"}, Kinds: counts, Lists: []string{"crops"},
			Fill: []string{
				"seeds", "seed", "how", "many", "for", "plants", "plant", "do", "i", "we", "need", "to", "sow", "start", "of", "old", "years", "year", "sure", "certain", "certainty", "germination", "germinate", "germinates", "at", "with", "cull", "want", "get", "should", "packet", "percent",
				"cells", "cell", "trays", "tray", "be", "from", "is", "and", "came", "up", "out", "so", "that", "each", "a", "thank", "rate", "culled", "thinned", "them", "end", "must",
			},
			Examples: []desk.Example{{Line: "seeds 24 tomatoes"}, {Line: "how many onion seeds for 200 plants, germination 70%"}, {Line: "/seeds 12 parsnips 3 years old, 95% sure"}, {Line: "how many cells for 24 tomatoes two to a cell"}},
			Plain: func(req *desk.Request) bool {
				return len(req.Reading.Unknown) == 0 && (len(req.Reading.Of(phrase.KindNumber)) > 0 || !hasWord(req, "in")) && !hasWord(req, "teeth")
			}, Do: seeds,
		},
		{
			Name: "bed", Command: "seeds", Doubt: true, Help: "how many plants a bed or a row holds, and the seed for it",
			Forms: []string{"how many * bed|row|fit", "bed * how many|apart", "^bed", "in * row|rows", "how many * apart", "how many * in|per metre|metres|meter|meters|feet|foot"}, Kinds: sizes, Lists: []string{"crops"},
			Needs:    []desk.Need{{Kind: phrase.KindTerm, List: "crops"}, {Kind: phrase.KindQuantity}},
			Fill:     []string{"m", "ft", "how", "many", "fit", "fits", "in", "a", "bed", "row", "rows", "of", "x", "by", "apart", "at", "spaced", "spacing", "plants", "plant", "sets", "seedlings", "bulbs", "cloves", "the", "go", "will", "long", "m", "metre", "metres", "meter", "feet", "foot", "ft", "seeds", "for", "each", "way", "can", "we", "i", "get", "and", "north", "south", "east", "west"},
			Examples: []desk.Example{{Line: "how many leeks fit in a bed 1.2 x 3 m"}, {Line: "bed 1.2 x 2.4 m 15 cm apart how many plants"}, {Line: "carrots in 4 m of row"}},
			Plain: func(req *desk.Request) bool {
				sides, _ := lengths(req)
				return len(req.Reading.Unknown) == 0 && (len(sides) > 0 || hasWord(req, "bed") && hasWord(req, "many"))
			},
			Do: bed,
		},
		{
			Name: "emergence", Command: "seeds", Needs: ofCrop, Doubt: true, Help: "how long seed takes to come up at a soil temperature",
			Forms: []string{"how long|many * come|coming|emerge|germinate|germination|sprout|up|show", "come|comes|coming up at", "germinate|emerge|sprout at", "seed|seeds at", "will * come up", "days to emerge|emergence|germinate", "how long till|until", "^emergence"},
			Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}, Lists: []string{"crops"},
			Fill: []string{
				"how", "long", "many", "days", "do", "does", "take", "takes", "to", "come", "comes", "coming", "up", "at", "seed", "seeds", "will", "for", "till", "until", "they", "emerge", "emergence", "germinate", "germination", "sprout", "in", "soil", "degrees", "degree", "f", "c", "show", "it", "before", "are", "is", "deg", "celsius", "fahrenheit", "minus",
			},
			Examples: []desk.Example{{Line: "how long do carrots take to come up at 10 C"}, {Line: "tomato seed at 68F"}},
			Plain: func(req *desk.Request) bool {
				return len(req.Reading.Unknown) == 0 && (req.Form != "how long till|until" || hasWord(req, "up", "come", "emerge", "germinate", "sprout", "show"))
			}, Do: emergence,
		},
	}
}

// usualSure is how sure an answer about seeds is to be.
const usualSure = 0.90

// seeds says how many seeds to sow for so many plants.
func seeds(req *desk.Request) (desk.Reply, error) {
	crops, reply, err := cropsSaid(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if reply.Head != "" {
		if crops, err = anyOf(req); err != nil || !sameSeed(crops) {
			return reply, err
		}
	}
	if len(crops) != 1 && !sameSeed(crops) {
		return desk.AskBack("Seeds for which one crop? For example: seeds 24 tomatoes"), nil
	}
	p := crops[0]
	q, reply := countsSaid(req, p)
	if reply.Head != "" {
		return reply, nil
	}
	if q.plants == 0 {
		return desk.AskBack(fmt.Sprintf("For how many plants? For example: seeds 24 %s", p.label())), nil
	}
	if q.age > 0 {
		fresh := q.germination
		q.germination = sowing.Aged(fresh, p.SeedLife, q.age)
		q.assumed = append(q.assumed, fmt.Sprintf("seed of %.3g years that keeps about %.3g: %.0f%% of it comes up (fresh: %.0f%%)", q.age, p.SeedLife, 100*q.germination, 100*fresh))
	}
	n, err := sowing.SeedsFor(q.plants, q.sure, q.germination, q.cull)
	if err != nil {
		return desk.Refuse("That cannot be worked out: how many come up and how sure you want to be are above 0% and below 100%, and at most 100,000 plants."), nil
	}
	out := desk.Answer(fmt.Sprintf("%d seeds for %s of %s.", n, desk.Plural(q.plants, "plant"), p.label()))
	out.Lines = []string{fmt.Sprintf("Then %s or more are %.0f%% sure, with %.0f%% coming up.", desk.Plural(q.plants, "plant"), 100*q.sure, 100*q.germination)}
	cells, err := cellLines(req, p, q)
	if err != nil {
		return desk.Refuse("That many cells cannot be worked out."), nil //nolint:nilerr // said to the person
	}
	if hasWord(req, "cells", "cell", "trays") && len(cells) > 0 {
		out.Head, cells = desk.Upper(cells[0]), cells[1:]
		out.Lines = nil
	}
	out.Lines = append(out.Lines, cells...)
	if from, to, ok := sowing.SeedsPerGram(p.table); ok && n >= 50 {
		out.Lines = append(out.Lines, fmt.Sprintf("That is about %s of seed.", gramText(float64(n)/to, float64(n)/from)))
	}
	out.Assumed = append(q.assumed, "seeds come up or not independently of each other: a spare tray covers a bad one")
	if q.germination < sowing.TestFirst {
		out.Cautions = []string{"Seed so old or poor wants a test first: 20 seeds in damp paper, somewhere warm."}
	}
	return out, nil
}

// anyOf are all the crops that an unclear word may be.
func anyOf(req *desk.Request) ([]plant, error) {
	var out []plant
	for _, s := range req.Reading.Terms("crops") {
		t := s.Value.(phrase.Term)
		if t.ID > 0 {
			continue
		}
		for _, name := range append([]string{t.Name}, t.Others...) {
			if _, ok := sowing.Named(name); !ok {
				continue
			}
			p, err := plantOf(req, name, "")
			if err != nil {
				return nil, err
			}
			out = append(out, p)
		}
	}
	return out, nil
}

// sameSeed reports crops of which it does not matter which: as many come up of each.
func sameSeed(crops []plant) bool {
	return len(crops) > 0 && !slices.ContainsFunc(crops, func(p plant) bool {
		return p.Germination != crops[0].Germination || p.SeedLife != crops[0].SeedLife
	})
}

func gramText(from, to float64) string {
	if to < 1.05*from {
		return fmt.Sprintf("%.2g g", to)
	}
	return fmt.Sprintf("%.2g to %.2g g", from, to)
}

// counts are what a question about seeds says or takes for granted.
type counts struct {
	plants, perCell         int
	sure, germination, cull float64
	age                     float64 // of the seed, years
	assumed                 []string
}

// countsSaid tells the certainty, the germination and the culling apart by the words
// beside them.
func countsSaid(req *desk.Request, p plant) (counts, desk.Reply) {
	q := counts{sure: usualSure, germination: p.Germination}
	sure, rate := false, false
	for _, s := range req.Reading.Of(phrase.KindShare) {
		v := ratOf(ratValue(s))
		switch {
		case beside(req, s, "sure", "certain", "certainty"):
			q.sure, sure = v, true
		case beside(req, s, "cull", "culled", "thinned"):
			q.cull = v
		default:
			q.germination, rate = v, true
		}
	}
	for _, v := range []float64{q.sure, q.germination} {
		if !(v > 0 && v < 1) && v != 1 || v == 1 && q.sure == 1 {
			return q, desk.Refuse("How many come up and how sure you want to be are above 0% and below 100%: nothing is certain with seed.")
		}
	}
	if q.cull >= 1 {
		return q, desk.Refuse("If all are culled nothing is left.")
	}
	q.plants, q.perCell = plantsSaid(req)
	if hit, of, ok := outOf(req); ok {
		q.germination, rate = float64(hit)/float64(of), true
		if q.plants == hit || q.plants == of {
			q.plants = lastCount(req)
		}
	}
	if zero(req) {
		return q, desk.Refuse("For at least one plant, please.")
	}
	q.age = ageSaid(req)
	if !sure {
		q.assumed = append(q.assumed, "90% sure")
	}
	if !rate {
		whose := "the table's figure (a legal least for the common kinds); the packet's own goes before"
		if p.own != nil && p.own.Germination.Valid {
			whose = fmt.Sprintf("your own figure (table: %.0f%%)", 100*p.table.Germination)
		}
		q.assumed = append(q.assumed, fmt.Sprintf("%.0f%% germination, %s", 100*p.Germination, whose))
	}
	return q, desk.Reply{}
}

// beside reports one of the words within two tokens of a span.
func beside(req *desk.Request, s phrase.Span, words ...string) bool {
	toks := req.Reading.Tokens
	for _, i := range []int{s.First - 1, s.First - 2, s.Past, s.Past + 1} {
		if i >= 0 && i < len(toks) && slices.Contains(words, toks[i].Low) {
			return true
		}
	}
	return false
}

// plantsSaid is the number of plants, and how many seeds go to a cell.
func plantsSaid(req *desk.Request) (plants, perCell int) {
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		n := whole(s)
		switch {
		case n == 0 || beside(req, s, "celled") || s.Past < len(req.Reading.Tokens) && req.Reading.Tokens[s.Past].Low == "cell":
		case toCell(req, s):
			perCell = n
		case s.Past < len(req.Reading.Tokens) && (strings.HasPrefix(req.Reading.Tokens[s.Past].Low, "year") || req.Reading.Tokens[s.Past].Low == "-"):
		case isYear(req, s, n):
		case plants == 0:
			plants = n
		}
	}
	return plants, perCell
}

// toCell reads "two to a cell".
func toCell(req *desk.Request, s phrase.Span) bool {
	toks := req.Reading.Tokens
	for i := s.Past; i < min(s.Past+4, len(toks)); i++ {
		if toks[i].Low == "cell" {
			return true
		}
	}
	return s.Past < len(toks) && (toks[s.Past].Low == "per" || toks[s.Past].Low == "to" && s.Past+1 < len(toks) && toks[s.Past+1].Low == "a")
}

func isYear(req *desk.Request, s phrase.Span, n int) bool {
	return n >= 1990 && n <= req.Wall.Year() && len(s.Text) == 4 && (beside(req, s, "from", "seed", "seeds", "packet", "of") || hasWord(req, "from"))
}

// outOf reads a home test: "7 out of 10 came up".
func outOf(req *desk.Request) (hit, of int, ok bool) {
	ns := req.Reading.Of(phrase.KindNumber)
	toks := req.Reading.Tokens
	for i := 0; i+1 < len(ns); i++ {
		between := toks[ns[i].Past:ns[i+1].First]
		if len(between) == 2 && between[0].Low == "out" && between[1].Low == "of" || len(between) == 1 && between[0].Low == "of" && hasWord(req, "came") {
			hit, of = whole(ns[i]), whole(ns[i+1])
			return hit, of, hit > 0 && of > hit
		}
	}
	return 0, 0, false
}

func lastCount(req *desk.Request) int {
	ns := req.Reading.Of(phrase.KindNumber)
	return whole(ns[len(ns)-1])
}

// zero reports a line that asks for no plants at all.
func zero(req *desk.Request) bool {
	ns := req.Reading.Of(phrase.KindNumber)
	return len(ns) > 0 && ratOf(ratValue(ns[0])) == 0
}

// ageSaid is the age of the seed in years: "3 years old", "from 2024".
func ageSaid(req *desk.Request) float64 {
	for _, kind := range []phrase.Kind{phrase.KindDuration, phrase.KindAfter} {
		for _, s := range req.Reading.Of(kind) {
			if d, ok := s.Value.(time.Duration); ok {
				return math.Abs(d.Hours()) / 24 / 365.25
			}
		}
	}
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		n := whole(s)
		if s.Past < len(toks) && strings.HasPrefix(toks[s.Past].Low, "year") || s.Past+1 < len(toks) && toks[s.Past].Low == "-" && strings.HasPrefix(toks[s.Past+1].Low, "year") {
			return ratOf(ratValue(s))
		}
		if isYear(req, s, n) {
			return float64(req.Wall.Year() - n)
		}
	}
	return 0
}

// cellLines say how many cells of a tray it takes.
func cellLines(req *desk.Request, p plant, q counts) ([]string, error) {
	per := q.perCell
	if per == 0 {
		per = sowing.PerCell(q.germination)
	}
	if p.Method == sowing.Direct && !hasWord(req, "cells", "cell", "trays") {
		return nil, nil
	}
	cells, err := sowing.CellsFor(q.plants, per, q.sure, q.germination)
	if err != nil {
		return nil, err
	}
	out := []string{fmt.Sprintf("in cells: %d, %s to a cell, thinned to one.", cells, desk.Plural(per, "seed"))}
	if hasWord(req, "cells", "cell", "trays") {
		out[0] = fmt.Sprintf("%d cells for %s of %s, %s to a cell, thinned to one.", cells, desk.Plural(q.plants, "plant"), p.label(), desk.Plural(per, "seed"))
	}
	out[0] = desk.Upper(out[0])
	if size := traySize(req); size > 0 {
		out = append(out, fmt.Sprintf("%s of %d cells.", desk.Plural((cells+size-1)/size, "tray"), size))
	}
	return append(out, fmt.Sprintf("That takes %d seeds.", cells*per)), nil
}

// traySize reads "72 cell trays".
func traySize(req *desk.Request) int {
	toks := req.Reading.Tokens
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		if s.Past < len(toks) && (toks[s.Past].Low == "cell" || toks[s.Past].Low == "-" && s.Past+1 < len(toks) && toks[s.Past+1].Low == "cell") {
			return whole(s)
		}
	}
	return 0
}

// emergence says how long seed takes to come up at a soil temperature.
func emergence(req *desk.Request) (desk.Reply, error) {
	p, reply, err := cropSaid(req, "how long do carrots take to come up at 10 C")
	if err != nil || reply.Head != "" {
		return reply, err
	}
	c, ok := degreesSaid(req)
	if !ok {
		if hasWord(req, "take", "takes", "up", "emerge", "germinate", "sprout") {
			return upTable(req, p)
		}
		return desk.AskBack(fmt.Sprintf("In soil of what temperature? For example: how long do %s take to come up at 10 C", p.label())), nil
	}
	e, err := sowing.Emergence(p.Crop, c)
	if err != nil {
		return notUpAt(req, p, c, err), nil
	}
	out := desk.Answer(fmt.Sprintf("%s at %s in the soil: up in about %s (%.0f to %.0f).", desk.Upper(p.label()), sayLow(req, c), dayCount(e.Days), math.Floor(e.From), math.Ceil(e.To)))
	if e.PercentKnown {
		out.Lines = append(out.Lines, fmt.Sprintf("About %.0f%% come up normally at that.", e.Percent))
	}
	if c < p.MinSoil {
		out.Lines = append(out.Lines, fmt.Sprintf("Colder than the %s that it wants: many rot instead.", sayLow(req, p.MinSoil)))
	}
	out.Lines = append(out.Lines, fmt.Sprintf("Quickest at about %s.", sayLow(req, p.OptSoil)), uncover(p))
	out.Assumed = []string{fmt.Sprintf("the handbook's table for %s, 13 mm deep at a steady warmth; home soil is not steady, hence the range", e.TableCrop)}
	return out, nil
}

func dayCount(d float64) string {
	n := int(math.Round(d))
	return desk.Plural(n, "day")
}

// uncover says when the lid or the fleece comes off.
func uncover(p plant) string {
	if p.Method == sowing.Direct {
		return "A fleece may stay on until they touch it."
	}
	return "Lid or film off on the day that the first ones show."
}

// notUpAt says why nothing comes up at a temperature, or that the table is silent.
func notUpAt(req *desk.Request, p plant, c float64, err error) desk.Reply {
	wants := fmt.Sprintf("It wants %s or more, best about %s, and no more than %s.", sayLow(req, p.MinSoil), sayLow(req, p.OptSoil), sayLow(req, p.MaxSoil))
	switch {
	case errors.Is(err, sowing.ErrCold):
		return desk.Answer(fmt.Sprintf("%s at %s: too cold, slow or none.", desk.Upper(p.label()), sayLow(req, c)), wants)
	case errors.Is(err, sowing.ErrHot):
		return desk.Answer(fmt.Sprintf("%s at %s: too hot, few or none.", desk.Upper(p.label()), sayLow(req, c)), wants)
	}
	return desk.Answer(fmt.Sprintf("How long %s takes is not in the handbook's table.", p.label()), wants)
}

// upTable shows the days at several temperatures.
func upTable(req *desk.Request, p plant) (desk.Reply, error) {
	out := desk.Answer(desk.Upper(p.label()) + " comes up, by the warmth of the soil:")
	for c := 5.0; c <= 35; c += 5 {
		if e, err := sowing.Emergence(p.Crop, c); err == nil {
			out.Lines = append(out.Lines, fmt.Sprintf("%s: about %s", sayLow(req, c), dayCount(e.Days)))
		}
	}
	if len(out.Lines) == 0 {
		return notUpAt(req, p, 0, sowing.ErrNoTable), nil
	}
	out.Lines = append(out.Lines, uncover(p))
	out.Assumed = []string{"the handbook's table, at a steady warmth"}
	return out, nil
}

// lengths are the lengths that a line gives, in centimetres; a bare number before one,
// as in 1.2 x 3 m, is in its unit.
func lengths(req *desk.Request) (sides []float64, apart float64) {
	type figure struct {
		cm   float64
		unit *measure.Unit
		span phrase.Span
	}
	var all []figure
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Quantity:
			if v.Unit.Dim == measure.Length {
				all = append(all, figure{v.Float(), v.Unit, s})
			}
		default:
			if s.Kind == phrase.KindNumber {
				all = append(all, figure{ratOf(ratValue(s)), nil, s})
			}
		}
	}
	toks := req.Reading.Tokens
	for i := range all {
		if s := all[i].span; all[i].unit == nil && s.Past < len(toks) && toks[s.Past].Low == "m" {
			all[i].unit, all[i].cm, all[i].span.Past = measure.Metre, 100*all[i].cm, s.Past+1
		}
	}
	for i := range all {
		if s := all[i].span; all[i].unit == nil && inchesApart(toks, s) {
			all[i].unit, all[i].span.Past = measure.Inch, s.Past+1
			all[i].cm *= measure.Quantity{Amount: ratOne, Unit: measure.Inch}.Float()
		}
	}
	for i, f := range all {
		if f.unit == nil {
			if i+1 >= len(all) || all[i+1].unit == nil || all[i+1].span.First-f.span.Past > 1 {
				continue // a count, or nothing that can be measured
			}
			u := all[i+1].unit
			f.cm *= measure.Quantity{Amount: ratOne, Unit: u}.Float()
		}
		if f.unit != nil && (beside(req, f.span, "apart", "spacing", "spaced") || f.span.First > 0 && toks[f.span.First-1].Low == "at") {
			apart = f.cm
			continue
		}
		sides = append(sides, f.cm)
	}
	return sides, apart
}

// inchesApart reports a bare figure that is a spacing in inches: "12 in apart".
func inchesApart(toks []phrase.Token, s phrase.Span) bool {
	return s.Past+1 < len(toks) && toks[s.Past].Low == "in" && slices.Contains([]string{"apart", "spacing"}, toks[s.Past+1].Low)
}

// bed says how many plants a bed or a row holds.
func bed(req *desk.Request) (desk.Reply, error) {
	crops, reply, err := cropsSaid(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if reply.Head != "" { // "cabbages" may be two crops: both are said
		if crops, err = anyOf(req); err != nil || len(crops) == 0 {
			return reply, err
		}
	}
	sides, apart := lengths(req)
	if len(sides) == 0 || len(sides) > 2 || len(sides) == 1 && !hasWord(req, "row", "rows") {
		return desk.AskBack("How large is the bed? For example: how many leeks fit in a bed 1.2 x 3 m, or carrots in 4 m of row"), nil
	}
	if len(crops) == 0 && apart == 0 {
		return desk.AskBack("Of which crop, or how far apart? For example: bed 1.2 x 2.4 m 15 cm apart"), nil
	}
	if len(crops) == 0 {
		return bedOf(req, plant{}, sides, apart)
	}
	var out desk.Reply
	for i, p := range crops {
		one, err := bedOf(req, p, sides, apart)
		if err != nil || one.Status != okStatus {
			return one, err
		}
		if i == 0 {
			out = one
			continue
		}
		out.Lines = append(append(out.Lines, one.Head), one.Lines...)
	}
	return out, nil
}

const okStatus = "ok"

func bedOf(req *desk.Request, p plant, sides []float64, apart float64) (desk.Reply, error) {
	space := apart
	if space == 0 {
		space = p.InRow
	}
	name := "plants"
	if p.table.Name != "" {
		name = "plants of " + p.label()
	}
	if len(sides) == 1 {
		return rowOf(req, p, sides[0], space, name), nil
	}
	square, offset, err := sowing.InBed(sides[0], sides[1], space)
	if err != nil {
		return desk.Refuse("That bed cannot be worked out: sides from 10 cm to 100 m, plants at least 1 cm apart."), nil //nolint:nilerr // said to the person
	}
	out := desk.Answer(fmt.Sprintf("%d %s in %s x %s, %s apart.", max(square, offset), name, sayLength(req, sides[0]), sayLength(req, sides[1]), sayLength(req, space)))
	out.Lines = []string{fmt.Sprintf("%d on a square, %d in offset rows.", square, offset)}
	if apart == 0 && p.table.Name != "" {
		if rows, err := sowing.InRows(sides[0], sides[1], p.InRow, p.RowGap); err == nil {
			out.Lines = append(out.Lines, fmt.Sprintf("%d in rows %s apart to walk between.", rows, sayLength(req, p.RowGap)))
		}
		out.Assumed = []string{"the distance in the row, both ways, with half of it kept from the edge"}
	}
	return out, nil
}

// rowFactor is what comes up in a garden of what comes up in a test (common practice).
const rowFactor = 0.8

func rowOf(req *desk.Request, p plant, long, space float64, name string) desk.Reply {
	if !(space > 0) || long < space || long > 100_000 {
		return desk.Refuse("That row cannot be worked out: at least one plant, at most 1 km.")
	}
	n := int(math.Floor(long/space + 1e-9))
	out := desk.Answer(fmt.Sprintf("%d %s in %s of row, %s apart.", n, name, sayLength(req, long), sayLength(req, space)))
	if p.table.Name == "" {
		return out
	}
	if per, err := sowing.SeedsPerMetre(space, p.Germination, rowFactor); err == nil {
		out.Lines = append(out.Lines, fmt.Sprintf("%.0f seeds for it.", math.Ceil(per*long/100)))
		out.Assumed = []string{fmt.Sprintf("%.0f%% germination, and in the open ground 8 of 10 that would come up in a test (common practice)", 100*p.Germination)}
	}
	return out
}

// sayLength writes a length in the household's units.
func sayLength(req *desk.Request, cm float64) string {
	switch {
	case req.House.US && cm >= 91:
		return fmt.Sprintf("%.3g ft", cm/30.48)
	case req.House.US:
		return fmt.Sprintf("%.2g in", cm/2.54)
	case cm >= 100:
		return fmt.Sprintf("%.4g m", cm/100)
	}
	return fmt.Sprintf("%.3g cm", cm)
}
