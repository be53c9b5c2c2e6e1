package garden

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func sownAsk() desk.Ask {
	return desk.Ask{
		Name: "sown", Command: "sown", Needs: ofCrop, Text: true, Help: "write down a sowing, and set what comes next",
		Forms: []string{"^sown|sowed", "sowed|sown", "^i|we started", "^started", "^planted", "^i|we planted"}, Lists: []string{"crops", "people"},
		Kinds:    slices.Concat(dayed, []phrase.Kind{phrase.KindNumber, phrase.KindQuantity, phrase.KindClock, phrase.KindBad}),
		Examples: []desk.Example{{Setup: dated, Line: "sown 24 tomatoes in the blue tray"}, {Setup: dated, Line: "sowed peas in the north bed yesterday"}, {Setup: dated, Line: "/sown 200 onions"}, {Setup: dated, Line: "Lise sowed the lettuce"}},
		Plain:    plainSown, Do: recordSown,
	}
}

// sownWords belong to a line that tells of a sowing.
var sownWords = []string{"sown", "sowed", "planted", "started", "have", "seeds", "seed", "plants", "plant", "cloves", "tubers", "more", "another", "again", "second", "lot", "batch", "row", "rows", "m", "ft", "out", "today's"}

// plainSown takes a plain line only when the whole of it tells of a sowing.
func plainSown(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || slices.Contains(askers, req.Reading.Tokens[0].Low) || !surely(req) || len(strangers(req)) > 0 {
		return false
	}
	if hasWord(req, "started") && cooked(req) {
		return false
	}
	if strings.HasPrefix(req.Form, "sowed") { // only a person may stand before it
		first := req.Reading.Tokens[0]
		people := req.Reading.Terms("people")
		return len(people) > 0 && people[0].Start == first.Start || first.Low == "i" || first.Low == "we" || first.Low == "just"
	}
	return true
}

// strangers are the words of a line that no telling of a sowing explains: neither the
// name of a variety nor that of its packet.
func strangers(req *desk.Request) []phrase.Token {
	_, first, past := placeSaid(req) // seed is sown in the oddest places, and nothing is cooked by it
	if hasWord(req, "started") {
		_, first, past = gardenPlace(req)
	}
	left := leftBeside(req, first, past, sownWords)
	if m, is := monthOnly(req); is { // its day is asked for
		left = slices.DeleteFunc(left, func(t phrase.Token) bool { return t.Low == "in" || strings.EqualFold(t.Low, m.String()) })
	}
	for _, c := range req.Reading.Terms("crops") {
		_, first := kindSaid(req, c)
		left = slices.DeleteFunc(left, func(t phrase.Token) bool {
			return t.Start >= req.Reading.Tokens[first].Start && t.End <= c.End
		})
	}
	from := slices.IndexFunc(left, func(t phrase.Token) bool { return t.Low == "from" })
	if n := len(left); from >= 0 && left[n-1].Low == "packet" {
		left = left[:from]
	}
	return left
}

// underCover are the things that what is sown outdoors is begun in too.
var underCover = []string{"tray", "trays", "flat", "flats", "modules", "cells", "greenhouse", "propagator", "tunnel", "polytunnel", "windowsill", "sill", "frame", "pots", "lights", "lamps", "conservatory"}

// cooked reports a line that may as well tell of supper: what is sown where it grows is
// not started, and nothing is at five o'clock.
func cooked(req *desk.Request) bool {
	if len(req.Reading.Of(phrase.KindClock)) > 0 {
		return true
	}
	_, first, past := gardenPlace(req)
	covered := slices.ContainsFunc(req.Reading.Tokens[first:past], func(t phrase.Token) bool { return slices.Contains(underCover, t.Low) })
	if covered {
		return false
	}
	crops, reply, err := cropsSaid(req)
	return err != nil || reply.Head == "" && slices.ContainsFunc(crops, func(p plant) bool { return p.Method == sowing.Direct })
}

// containers are the things and places that sowings stand in.
var containers = []string{"tray", "trays", "flat", "flats", "bed", "beds", "pot", "pots", "cell", "cells", "modules", "greenhouse", "windowsill", "sill", "frame", "row", "rows", "tunnel", "polytunnel", "box", "boxes", "barrel", "trough", "plot", "border", "propagator", "field", "garden", "shed", "porch", "bench", "bucket", "tub", "tubs", "lights", "lamps", "conservatory", "ground", "outside", "outdoors"}

// openAir are those under the sky.
var openAir = []string{"bed", "beds", "row", "rows", "plot", "border", "field", "garden", "ground", "outside", "outdoors"}

// placeEnds are words that no place goes on with.
var placeEnds = []string{"from", "for", "today", "thanks", "thank", "please", "and", "this", "again", "as", "because", "when", "while", "after", "before", "so", "but", "like", "with"}

// placeSaid is where a line puts a sowing, with the tokens that say so.
func placeSaid(req *desk.Request) (place string, first, past int) {
	toks := req.Reading.Tokens
	dated := func(i int) bool {
		return slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
			term, is := s.Value.(phrase.Term)
			return (slices.Contains(dayed, s.Kind) || s.Kind == phrase.KindClock || is && term.List != "places") && i >= s.First && i < s.Past
		})
	}
	run := func(i int) int {
		for i < len(toks) && (toks[i].Kind == phrase.Word || toks[i].Kind == phrase.Num) && !dated(i) && !slices.Contains(placeEnds, toks[i].Low) {
			i++
		}
		return i
	}
	for i, t := range toks {
		if !slices.Contains([]string{"in", "on", "under", "into"}, t.Low) || i+1 >= len(toks) || dated(i+1) {
			continue
		}
		if _, is := monthNamed(toks[i+1].Low); is {
			continue
		}
		if end := run(i + 1); end > i+1 && end-i <= 7 {
			return strings.Replace(textOf(req, i, end), "into", "in", 1), i, end
		}
	}
	for i := range toks { // "24 tomatoes blue tray"
		if end := run(i); end > i && end-i <= 4 && slices.Contains(containers, toks[end-1].Low) && !req.Reading.Used[i] {
			if toks[end-1].Low == "outside" || toks[end-1].Low == "outdoors" {
				return toks[end-1].Low, end - 1, end
			}
			return "in " + textOf(req, i, end), i, end
		}
	}
	return "", 0, 0
}

func textOf(req *desk.Request, first, past int) string {
	toks := req.Reading.Tokens
	return strings.Join(strings.Fields(req.Text[toks[first].Start:toks[past-1].End]), " ")
}

// seedsSown is how many a line says were sown, apart from the figures of its place.
func seedsSown(req *desk.Request, first, past int) (seeds int, length string) {
	for _, s := range req.Reading.Spans {
		if s.First >= first && s.First < past {
			continue
		}
		if q, ok := s.Value.(phrase.Quantity); ok && q.Unit.Dim == measure.Length {
			length = s.Text
			continue
		}
		if s.Kind == phrase.KindNumber && s.Past < len(req.Reading.Tokens) && req.Reading.Tokens[s.Past].Low == "m" {
			length = s.Text + " m"
			continue
		}
		if s.Kind == phrase.KindNumber && seeds == 0 && !ofRows(req, s) {
			seeds = whole(s)
		}
	}
	return seeds, length
}

// ofRows reports a number that counts rows or trays and not seeds.
func ofRows(req *desk.Request, s phrase.Span) bool {
	return s.Past < len(req.Reading.Tokens) && slices.Contains([]string{"row", "rows", "drills", "packet", "packets", "handfuls", "trays", "flats", "beds"}, req.Reading.Tokens[s.Past].Low)
}

// recordSown writes sowings down and sets the bells of what comes next.
func recordSown(req *desk.Request) (desk.Reply, error) {
	crops, reply, err := cropsSaid(req)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if len(crops) == 0 {
		return desk.AskBack("Which crop? For example: sown 24 tomatoes in the blue tray"), nil
	}
	if len(crops) > 4 {
		return desk.AskBack("At most four crops in a line, please."), nil
	}
	if reply, err := elsewise(req, crops); err != nil || reply.Head != "" {
		return reply, err
	}
	day, reply := happened(req)
	if reply.Head != "" {
		return reply, nil
	}
	all, err := newSowings(req, crops, day)
	if err != nil {
		return desk.Reply{}, err
	}
	if reply, err := toldBefore(req, all[0]); err != nil || reply.Head != "" {
		return reply, err
	}
	var texts []string
	for _, s := range all {
		texts = append(texts, verb(s)+" "+what(s))
	}
	if err := req.Record(storage.Entry{Kind: "sown", About: all[0].subject(), Happened: at(req, day), Text: strings.Join(texts, "; ")}); err != nil {
		return desk.Reply{}, err
	}
	var out desk.Reply
	for i, s := range all {
		one, err := sowOne(req, s)
		if err != nil {
			return desk.Reply{}, err
		}
		if i == 0 {
			out = one
			continue
		}
		out.Lines = append(append(out.Lines, one.Head), one.Lines...)
		out.Cautions = append(out.Cautions, one.Cautions...)
	}
	return out, nil
}

// happenings are words that tell of what was sown before.
var happenings = []string{"picked", "potted", "pricked", "transplanted", "hardening", "hardened", "thinned", "lost", "killed", "eaten", "harvested", "finished"}

// elsewise answers a line that tells of no new sowing: of plants that are set out, or of
// what befell some that are not written down.
func elsewise(req *desk.Request, crops []plant) (desk.Reply, error) {
	if hasWord(req, happenings...) {
		return desk.AskBack(fmt.Sprintf("No %s is written down of which that can be told. What stands: sown", crops[0].label())), nil
	}
	if !hasWord(req, "planted") || hasWord(req, "seed", "seeds") {
		if hasWord(req, "started") && !req.Direct && !saysMore(req) {
			return desk.AskBack(fmt.Sprintf("%s, sown from seed?", desk.Upper(crops[0].label())), desk.Button("sown "+crops[0].label())), nil
		}
		return desk.Reply{}, nil
	}
	all, err := standingNow(req)
	if err != nil || !slices.ContainsFunc(all, func(s sown) bool { return s.kind.table.Name == crops[0].table.Name && inTrayNow(s) }) {
		return desk.Reply{}, err
	}
	return setOut(req)
}

// saysMore reports a line that gives a number, a place or a day beside the crop.
func saysMore(req *desk.Request) bool {
	_, _, past := gardenPlace(req)
	return past > 0 || len(req.Reading.Of(phrase.KindNumber))+len(req.Reading.Of(phrase.KindQuantity))+len(req.Reading.Of(phrase.KindDate)) > 0
}

// toldBefore asks about a sowing that is written down already: two people tell of it,
// or a bad line sends it twice.
func toldBefore(req *desk.Request, s sown) (desk.Reply, error) {
	if hasWord(req, "another", "more", "again", "second") {
		return desk.Reply{}, nil
	}
	all, err := standingNow(req)
	if err != nil {
		return desk.Reply{}, err
	}
	i := slices.IndexFunc(all, func(o sown) bool {
		same := o.kind.table.Name == s.kind.table.Name && strings.EqualFold(o.Variety, s.Variety)
		if s.bought() {
			return same && o.Planted.Equal(s.Planted) && (s.Place == "" || o.Place == "" || strings.EqualFold(o.Place, s.Place))
		}
		return same && o.Sown.Equal(s.Sown) && o.Seeds == s.Seeds && strings.EqualFold(o.Place, s.Place)
	})
	if i < 0 {
		return desk.Reply{}, nil
	}
	return desk.AskBack(fmt.Sprintf("That is written down: sowing %d, %s, %s. Is this another?", all[i].Num, all[i].title(), stateOf(req, all[i])), desk.Labelled("Another", req.Text+" again")), nil
}

// newSowings are the sowings of a line, one a crop, as they will be written down.
func newSowings(req *desk.Request, crops []plant, day time.Time) ([]sown, error) {
	num, err := req.Tx.NextSowing(req.House.ID)
	if err != nil {
		return nil, err
	}
	where, first, past := placeSaid(req)
	seeds, length := seedsSown(req, first, past)
	if len(crops) > 1 {
		seeds = 0 // whose it is cannot be told
	}
	var out []sown
	for i, p := range crops {
		if p.variety == "" && len(crops) == 1 {
			p.variety, _ = kindSaid(req, req.Reading.Terms("crops")[0])
		}
		s := sown{storage.Sowing{Household: req.House.ID, Num: num + i, Crop: p.table.Name, Variety: p.variety, Seeds: seeds, Place: where, Sown: day, Person: whose(req)}, p}
		if length != "" {
			s.Place = strings.TrimSpace(length + " " + s.Place)
		}
		s.Outdoors = outdoors(p, where)
		if hasWord(req, "planted") && p.Method == sowing.Indoor && !hasWord(req, "seed", "seeds") {
			s.Up, s.Planted, s.Came, s.Seeds = day, day, seeds, 0
		}
		out = append(out, s)
	}
	return out, nil
}

// sowOne writes one sowing down, with its bells.
func sowOne(req *desk.Request, s sown) (desk.Reply, error) {
	var err error
	if s.Sowing, err = req.Tx.AddSowing(s.Sowing); err != nil {
		return desk.Reply{}, err
	}
	tin, err := takeSeeds(req, s)
	if err != nil {
		return desk.Reply{}, err
	}
	lines, err := setSteps(req, s)
	if err != nil {
		return desk.Reply{}, err
	}
	before, err := sownBefore(req, s)
	if err != nil {
		return desk.Reply{}, err
	}
	out := desk.Answer(fmt.Sprintf("%s, %s. Sowing %d.", desk.Upper(verb(s)+" "+what(s)), sayDate(req, s.Sown), s.Num), slices.Concat(lines, tin, before)...)
	if out.Cautions, err = settleNights(req, s); err != nil {
		return desk.Reply{}, err
	}
	if s.bought() {
		early, err := tooEarly(req, s)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Cautions = append(out.Cautions, early...)
	}
	if every, ok := sowing.Succession(s.kind.table); ok {
		next := s.Sown.AddDate(0, 0, every.To)
		if last := lastUseful(req, s.kind, s.Sown); last.IsZero() || !next.After(last) {
			out.Lines = append(out.Lines, fmt.Sprintf("For a steady supply the next sowing is %s.", sayDays(req, s.Sown.AddDate(0, 0, every.From), next)))
			out.Buttons = append(out.Buttons, desk.Labelled("Ring me for the next", fmt.Sprintf("ring me %s sow more %s", next.Format("2006-01-02"), s.kind.label())))
		}
	}
	return out, nil
}

// lastUseful is the last useful sowing of the season of a day, zero when not known.
func lastUseful(req *desk.Request, p plant, day time.Time) time.Time {
	_, now, _, reply, err := seasonOf(req, p, day)
	if err != nil || reply.Head != "" {
		return time.Time{}
	}
	return lastDay(req, p, now)
}

func verb(s sown) string {
	switch {
	case !s.Planted.IsZero() || s.planted():
		return "planted"
	case s.Outdoors:
		return "sowed"
	}
	return "started"
}

// planted reports a crop that is put in as cloves, tubers or slips.
func (s sown) planted() bool {
	return strings.Contains(s.kind.table.Name, "(cloves)") || tubers(s.kind)
}

func tubers(p plant) bool {
	return strings.Contains(p.table.Name, "(seed tubers)") || strings.Contains(p.table.Name, "(slips)")
}

// what is what a sowing says was put in: "24 seeds of tomato in the blue tray".
func what(s sown) string {
	switch {
	case s.Seeds > 0 && s.planted():
		return s.counted(s.Seeds)
	case s.Seeds > 0:
		return fmt.Sprintf("%s of %s", desk.Plural(s.Seeds, "seed"), s.title())
	case s.Came > 0:
		return s.counted(s.Came)
	}
	return s.title()
}

// whose is who looks after a sowing: the one who is said to have sown it, or to whom
// it is given, else the one who tells of it.
func whose(req *desk.Request) int64 {
	for _, s := range req.Reading.Terms("people") {
		if t := s.Value.(phrase.Term); t.ID > 0 {
			return t.ID
		}
	}
	return req.Who.ID
}

// outdoors tells a sowing in the open from one under cover: by its place, else by how
// the crop is begun.
func outdoors(p plant, where string) bool {
	words := phrase.Words(where)
	is := func(list []string) bool {
		return slices.ContainsFunc(words, func(w string) bool { return slices.Contains(list, w) })
	}
	switch {
	case is(openAir):
		return true
	case is(containers):
		return false
	}
	return p.Method == sowing.Direct
}

// sownBefore tells how the same crop went before.
func sownBefore(req *desk.Request, s sown) ([]string, error) {
	all, err := sowings(req)
	if err != nil {
		return nil, err
	}
	for _, old := range slices.Backward(all) {
		if old.Num == s.Num || old.kind.table.Name != s.kind.table.Name || old.Sown.Year() >= s.Sown.Year() {
			continue
		}
		text := fmt.Sprintf("%d: sown %s", old.Sown.Year(), old.Sown.Format(dayLayout(req)))
		if !old.Up.IsZero() {
			text += ", up " + old.Up.Format(dayLayout(req))
		}
		if !old.Planted.IsZero() {
			text += ", set out " + old.Planted.Format(dayLayout(req))
		}
		if !old.Picked.IsZero() {
			text += ", first picked " + old.Picked.Format(dayLayout(req))
		}
		if old.Fate != "" {
			text += ", " + old.Fate
		}
		return []string{text + "."}, nil
	}
	return nil, nil
}

// takeSeeds takes what was sown out of the seed tin, from the oldest packet of that
// crop, and says what is left.
func takeSeeds(req *desk.Request, s sown) ([]string, error) {
	if s.Seeds == 0 {
		return nil, nil
	}
	packets, err := req.Tx.Packets(req.House.ID)
	if err != nil {
		return nil, err
	}
	packets = slices.DeleteFunc(packets, func(p storage.Packet) bool {
		return p.Crop != s.Crop || s.Variety != "" && !strings.EqualFold(p.Variety, s.Variety) || p.Seeds == 0
	})
	need, left := s.Seeds, 0
	for _, p := range packets {
		take := min(need, p.Left)
		if take > 0 {
			p.Left -= take
			need -= take
			p.Over = p.Left == 0
			if err := req.Tx.SavePacket(p); err != nil {
				return nil, err
			}
		}
		left += p.Left
	}
	switch {
	case len(packets) == 0:
		return nil, nil
	case need > 0:
		return []string{fmt.Sprintf("The tin had %s fewer than that: count again with packet or used up.", desk.Plural(need, "seed"))}, nil
	}
	return []string{fmt.Sprintf("%s left in the tin.", desk.Plural(left, "seed"))}, nil
}
