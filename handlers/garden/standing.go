package garden

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// sown is a sowing with what is known of its crop.
type sown struct {
	storage.Sowing
	kind plant
}

// title is what a sowing is called: "tomato in the blue tray".
func (s sown) title() string {
	if s.Place == "" {
		return s.kind.label()
	}
	return s.kind.label() + " " + s.Place
}

// counted is so many plants of a sowing: "45 leek plants in the south bed".
func (s sown) counted(n int) string {
	noun := "plant"
	switch {
	case strings.Contains(s.kind.table.Name, "(cloves)"):
		noun = "clove"
	case strings.Contains(s.kind.table.Name, "(seed tubers)"):
		noun = "tuber"
	case strings.Contains(s.kind.table.Name, "(slips)"):
		noun = "slip"
	}
	return strings.TrimSpace(fmt.Sprintf("%s %s", strings.Replace(desk.Plural(n, noun), " ", " "+s.kind.label()+" ", 1), s.Place))
}

// bought reports plants that came as plants.
func (s sown) bought() bool { return !s.Planted.IsZero() && s.Planted.Equal(s.Sown) }

// hardening reports a tray that is carried out by day.
func (s sown) hardening() bool { return !s.Hardening.IsZero() && s.Planted.IsZero() }

// covered are the places of plants that are set out, and yet no frost reaches.
var covered = []string{"greenhouse", "tunnel", "polytunnel", "conservatory", "porch", "windowsill", "shed", "glasshouse"}

// outside reports plants that the cold of a night can reach: what was sown in the open
// and is due up by then is likely there, told or not.
func (s sown) outside(night time.Time) bool {
	if slices.ContainsFunc(phrase.Words(s.Place), func(w string) bool { return slices.Contains(covered, w) }) && !s.hardening() {
		return false
	}
	there := !s.Up.IsZero() || !night.Before(s.Sown.AddDate(0, 0, s.daysToUp()))
	return !s.Planted.IsZero() || s.Outdoors && there || s.hardening()
}

// subject is what the bells and the day book tie to a sowing.
func (s sown) subject() string { return fmt.Sprintf("sowing:%d", s.Num) }

// of joins a sowing with its crop.
func of(req *desk.Request, s storage.Sowing) (sown, error) {
	p, err := plantOf(req, s.Crop, s.Variety)
	return sown{s, p}, err
}

// sowings are all of the household's, oldest first.
func sowings(req *desk.Request) ([]sown, error) {
	all, err := req.Tx.Sowings(req.House.ID)
	if err != nil {
		return nil, err
	}
	out := make([]sown, 0, len(all))
	for _, s := range all {
		one, err := of(req, s)
		if err != nil {
			return nil, err
		}
		out = append(out, one)
	}
	return out, nil
}

// standingNow are the sowings that are not over.
func standingNow(req *desk.Request) ([]sown, error) {
	all, err := sowings(req)
	return slices.DeleteFunc(all, func(s sown) bool { return !s.Over.IsZero() }), err
}

// placeList is where sowings stand, each place once.
func placeList(tx *storage.Tx, household int64) (*phrase.List, error) {
	all, err := tx.Sowings(household)
	if err != nil {
		return nil, err
	}
	var entries []phrase.Entry
	for _, s := range all {
		if s.Place == "" || !s.Over.IsZero() || slices.ContainsFunc(entries, func(e phrase.Entry) bool { return e.Name == s.Place }) {
			continue
		}
		entries = append(entries, phrase.Entry{Name: s.Place, Aliases: []string{bare(s.Place)}})
	}
	return phrase.NewList("places", entries), nil
}

// bare is a place without its preposition and article: "blue tray".
func bare(where string) string {
	words := strings.Fields(where)
	for len(words) > 1 && slices.Contains([]string{"in", "on", "under", "into", "by", "at", "the", "a", "an", "my", "our"}, strings.ToLower(words[0])) {
		words = words[1:]
	}
	return strings.Join(words, " ")
}

// choice is of which sowings a line can tell, and of which it rather does where there
// are several.
type choice struct{ fits, rather func(sown) bool }

// inGround reports plants where they grow: those are thinned and picked, not what is
// left in the tray.
func inGround(s sown) bool { return s.Outdoors || !s.Planted.IsZero() }

// which narrows the standing sowings to those that a line names, by number, by crop
// and by place, and that fit; of several it asks. Say is the line for one of them,
// with %s for its name.
func which(req *desk.Request, say string, c choice) (sown, desk.Reply, error) {
	all, err := standingNow(req)
	if err != nil {
		return sown{}, desk.Reply{}, err
	}
	found, named, reply, err := namedOf(req, all)
	if err != nil || reply.Head != "" {
		return sown{}, reply, err
	}
	fitting := slices.DeleteFunc(slices.Clone(found), func(s sown) bool { return !c.fits(s) })
	if likely := slices.DeleteFunc(slices.Clone(fitting), func(s sown) bool { return c.rather == nil || !c.rather(s) }); len(likely) > 0 {
		fitting = likely
	}
	switch {
	case len(fitting) == 1:
		return fitting[0], desk.Reply{}, nil
	case len(fitting) > 1:
		var buttons []storage.Button
		var names []string
		for _, s := range fitting {
			names = append(names, fmt.Sprintf("%s (sown %s)", s.title(), sayDate(req, s.Sown)))
			buttons = append(buttons, desk.Labelled(fmt.Sprintf("%d %s", s.Num, s.title()), fmt.Sprintf(say, fmt.Sprintf("sowing %d", s.Num))))
		}
		return sown{}, desk.AskBack("Which: "+either(names)+"?", buttons...), nil
	case len(found) > 0:
		return sown{}, desk.AskBack(fmt.Sprintf("%s: %s.", desk.Upper(found[len(found)-1].title()), stateOf(req, found[len(found)-1]))), nil
	}
	return sown{}, desk.AskBack(fmt.Sprintf("No %s is written down as sown. For example: sown 24 %s in the blue tray", named, named)), nil
}

// movers are the words of a line whose place may be the one that plants go to.
var movers = []string{"transplanted", "planted", "set", "put", "potted", "pricked", "went"}

// namedOf are the sowings that a line names; named is what it named.
func namedOf(req *desk.Request, all []sown) (found []sown, named string, reply desk.Reply, err error) {
	found, named = all, "such sowing"
	for _, s := range req.Reading.Of(phrase.KindThing) {
		if t := s.Value.(phrase.Thing); t.Noun == "sowing" || t.Noun == "" {
			found = slices.DeleteFunc(slices.Clone(found), func(s sown) bool { return s.Num != t.N })
			named = fmt.Sprintf("sowing %d", t.N)
		}
	}
	crops, reply, err := cropsSaid(req)
	if err != nil || reply.Head != "" {
		return nil, "", reply, err
	}
	if len(crops) > 0 {
		named = crops[0].label()
		found = slices.DeleteFunc(slices.Clone(found), func(s sown) bool {
			return !slices.ContainsFunc(crops, func(p plant) bool {
				return p.table.Name == s.kind.table.Name && (p.variety == "" || strings.EqualFold(p.variety, s.Variety))
			})
		})
	}
	for _, s := range req.Reading.Terms("places") {
		t := s.Value.(phrase.Term)
		there := slices.DeleteFunc(slices.Clone(found), func(s sown) bool { return s.Place != t.Name })
		if len(there) > 0 || !hasWord(req, movers...) {
			found = there
		}
	}
	return found, named, desk.Reply{}, nil
}

// stateOf says how far a sowing has come.
func stateOf(req *desk.Request, s sown) string {
	switch {
	case !s.Over.IsZero():
		return s.Fate + " " + sayDate(req, s.Over)
	case !s.Picked.IsZero():
		return "first picked " + sayDate(req, s.Picked)
	case !s.Planted.IsZero():
		return "set out " + sayDate(req, s.Planted)
	case s.hardening():
		return "hardening off since " + sayDate(req, s.Hardening)
	case !s.Potted.IsZero():
		return "potted up " + sayDate(req, s.Potted)
	case !s.Up.IsZero():
		text := "up " + sayDate(req, s.Up)
		if s.Came > 0 && s.Seeds > 0 {
			text += fmt.Sprintf(", %d of %d (%.0f%%)", s.Came, s.Seeds, 100*float64(s.Came)/float64(s.Seeds))
		}
		return text
	}
	return "sown " + sayDate(req, s.Sown) + ", not up yet"
}

func standingAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "sown", Command: "sown", Question: true, Help: "what is sown, how far it is, and what comes next",
			Forms: []string{"^sown$", "what * sown|planted", "what|what's|whats * growing|in trays$", "^sowings$", "^sown * so far$"}, Fill: []string{"what", "is", "have", "we", "i", "all", "list", "show", "so", "far", "been", "this", "year"},
			Examples: []desk.Example{{Line: "sown"}, {Setup: onTray, Line: "what have we sown"}},
			Plain: func(req *desk.Request) bool {
				return req.Form != "^sown$" || len(leftOver(req, "sown", "what", "what's", "whats", "is", "so", "far")) == 0
			}, Do: standing,
		},
		{
			Name: "sown", Command: "sown", Question: true, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "places"}, {Kind: phrase.KindThing}, {Kind: phrase.KindTerm, List: "crops"}}, Help: "one sowing, or what stands in a place",
			Keep: true, Forms: []string{"^sowing|sowings", "^what|what's|whats * in|on", "when * sow|sown|sowed|start|started", "when * go|goes out", "how * doing|along", "^are|is * up", "^where are|is|did"}, Kinds: []phrase.Kind{phrase.KindThing}, Lists: []string{"crops", "places"},
			Fill:     []string{"what", "is", "when", "did", "we", "i", "sow", "was", "were", "sown", "the", "there", "how", "doing", "coming", "along", "go", "goes", "do", "does", "are", "up", "yet", "where"},
			Examples: []desk.Example{{Setup: onTray, Line: "sowing 1"}, {Setup: onTray, Line: "what is in the blue tray"}, {Setup: onTray, Line: "when did we sow the tomatoes"}},
			Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && aboutSowing(req) }, Do: oneSowing,
		},
	}
}

// onTray is the set-up of the examples that tell what became of a sowing.
var onTray = slices.Concat(dated, []string{"sown 24 tomatoes in the blue tray 9 weeks ago"})

// aboutSowing keeps questions for dates of a crop that is not sown with the plan.
func aboutSowing(req *desk.Request) bool {
	all, err := standingNow(req)
	if err != nil {
		return false
	}
	found, _, reply, err := namedOf(req, all)
	if err != nil || reply.Head != "" || len(found) == 0 {
		return false
	}
	return len(req.Reading.Terms("places")) > 0 || req.Has(desk.Need{Kind: phrase.KindThing}) || hasWord(req, "did", "was", "were", "doing", "along", "up", "where")
}

// standing lists what is sown and not over.
func standing(req *desk.Request) (desk.Reply, error) {
	all, err := standingNow(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("Nothing is written down as sown.", "Write a sowing down: sown 24 tomatoes in the blue tray"), nil
	}
	return listed(req, "Sown:", all)
}

func listed(req *desk.Request, head string, all []sown) (desk.Reply, error) {
	out := desk.Answer(head)
	for _, s := range all {
		line, err := sownLine(req, s)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, line)
	}
	return out, nil
}

func sownLine(req *desk.Request, s sown) (string, error) {
	text := fmt.Sprintf("%d %s: ", s.Num, s.title())
	if s.Seeds > 0 {
		text = fmt.Sprintf("%d %s: %d seeds, ", s.Num, s.title(), s.Seeds)
	}
	if s.Came > 0 && !(s.Potted.IsZero() && s.Hardening.IsZero() && s.Planted.IsZero()) { // past coming up, plants are counted
		text = fmt.Sprintf("%d %s: %s, ", s.Num, s.title(), desk.Plural(s.Came, "plant"))
	}
	text += stateOf(req, s)
	next, err := nextStep(req, s.Sowing)
	return text + next, err
}

// oneSowing answers about what a line names: all that stands in a place, or one sowing
// with everything that has happened to it.
func oneSowing(req *desk.Request) (desk.Reply, error) {
	all, err := sowings(req)
	if err != nil {
		return desk.Reply{}, err
	}
	found, named, reply, err := namedOf(req, all)
	if err != nil || reply.Head != "" {
		return reply, err
	}
	if alive := slices.DeleteFunc(slices.Clone(found), func(s sown) bool { return !s.Over.IsZero() }); len(alive) > 0 {
		found = alive
	}
	switch len(found) {
	case 0:
		return desk.AskBack(fmt.Sprintf("There is no %s. What stands: sown", named)), nil
	case 1:
		return history(req, found[0])
	}
	return listed(req, "Sown:", found)
}

// history is everything that has happened to a sowing, and what comes.
func history(req *desk.Request, s sown) (desk.Reply, error) {
	out := desk.Answer(fmt.Sprintf("Sowing %d, %s: %s.", s.Num, s.title(), stateOf(req, s)))
	for _, e := range []struct {
		day  time.Time
		what string
	}{{s.Sown, "sown"}, {s.Up, "up"}, {s.Potted, "potted up"}, {s.Hardening, "hardening off"}, {s.Planted, "set out"}, {s.Picked, "first picked"}} {
		if !e.day.IsZero() {
			out.Lines = append(out.Lines, sayDate(req, e.day)+" "+e.what)
		}
	}
	lines, err := stepLines(req, s)
	out.Lines = append(out.Lines, lines...)
	if !s.Up.IsZero() && s.Came > 0 && s.Seeds > 0 {
		out.Lines = append(out.Lines, cameUp(s))
	}
	return out, err
}

// cameUp holds what came up against what was sown and against the crop's usual rate.
func cameUp(s sown) string {
	rate := float64(s.Came) / float64(s.Seeds)
	text := fmt.Sprintf("%d of %d came up: %.0f%%", s.Came, s.Seeds, 100*rate)
	switch expect := s.kind.Germination; {
	case rate < expect-0.2:
		text += fmt.Sprintf(", poor: %.0f%% is usual", 100*expect)
	case rate >= expect:
		text += ", good"
	}
	return text + "."
}

// lastYear tells the dates of earlier seasons of the same crop beside this one's.
func lastYear(req *desk.Request, p plant, now sowing.Frosts) ([]string, error) {
	all, err := sowings(req)
	if err != nil {
		return nil, err
	}
	var out []string
	for _, s := range all {
		if s.kind.table.Name != p.table.Name || p.variety != "" && !strings.EqualFold(s.Variety, p.variety) {
			continue
		}
		text := ""
		for _, e := range []struct {
			day  time.Time
			what string
		}{{s.Sown, "sown"}, {s.Up, "up"}, {s.Planted, "set out"}, {s.Picked, "first picked"}} {
			if !e.day.IsZero() {
				text += fmt.Sprintf(", %s %s", e.what, e.day.Format(dayLayout(req)))
			}
		}
		if s.Fate != "" {
			text += ", " + s.Fate
		}
		year := "This season"
		if s.Sown.Before(now.Last.AddDate(0, -7, 0)) {
			year = s.Sown.Format("2006")
		}
		out = append(out, fmt.Sprintf("%s: %s.", year, strings.TrimPrefix(text, ", ")))
	}
	if len(out) > 4 {
		out = out[len(out)-4:]
	}
	return out, nil
}
