package soap

import (
	"errors"
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"
	"sync"
	"time"

	"yardbell/calc/lye"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// Names of what a line about cooling reads temperatures of.
const (
	heatLye    = "lye"
	heatFat    = "fat"
	heatRoom   = "room"
	heatTarget = "target"
)

var heatList = sync.OnceValue(func() *phrase.List {
	return phrase.NewList("heats", []phrase.Entry{
		{Name: heatLye, Aliases: []string{"lye water", "solution", "caustic", "lye solution"}},
		{Name: heatFat, Aliases: []string{"fats", "oil", "oils", "the fat", "the oils"}},
		{Name: heatRoom, Aliases: []string{"kitchen", "air", "ambient", "room temperature"}},
		{Name: heatTarget, Aliases: []string{"aim", "down to", "aim for", "until"}},
	})
})

func coolingAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "cooling", Command: "cooling", Adult: true, Keep: true, Doubt: true,
		Help:  "from two readings each of lye and fat, when they are cool enough to mix",
		Forms: []string{"^cooling", "^cool down", "^cool", "* cooling"}, Needs: []desk.Need{{Kind: phrase.KindTerm, List: "heats"}},
		Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindNumber, phrase.KindDuration, phrase.KindAfter}, Lists: []string{"heats"},
		Fill: []string{"cooling", "cool", "down", "then", "now", "later", "after", "was", "is", "degrees", "when", "before", "earlier"},
		Examples: []desk.Example{
			{Line: "cooling lye 84 then 62 after 25 min, room 19"},
			{Line: "cooling lye 84 then 62, fat 70 then 60, 25 min, room 19, target 40"},
			{Line: "/cooling lye 183F then 144F after 25 min, room 66F, target 104F"},
		},
		Plain: func(req *desk.Request) bool {
			return len(req.Reading.Of(phrase.KindNumber))+len(req.Reading.Of(phrase.KindQuantity)) >= 2
		},
		Do: cooling,
	}}
}

// usualTarget is where lye and fat are usually mixed, in C: both between 35 and
// 50, and within 10 of each other (common practice).
const (
	usualTarget = 40.0
	closeEnough = 10.0
	leastApart  = 5 * time.Minute
)

// readings are the temperatures of a line, in C, by what they are of.
type readings struct {
	of   map[string][]float64
	gap  time.Duration
	bare bool // some came without C or F: read in the household's own
}

// cooling works out when lye and fat reach the temperature for mixing, and rings
// then.
func cooling(req *desk.Request) (desk.Reply, error) {
	r, reply, ok := readHeats(req)
	if !ok {
		return reply, nil
	}
	target := usualTarget
	if t := r.of[heatTarget]; len(t) > 0 {
		target = t[0]
	}
	out := desk.Answer("")
	if r.bare {
		out.Assumed = append(out.Assumed, r.readAs(req))
	}
	if len(r.of[heatTarget]) == 0 {
		out.Assumed = append(out.Assumed, "mixed at "+heat(req, target)+", both within "+heatStep(req, closeEnough)+" of each other")
	}
	waits := map[string]time.Duration{}
	curves := map[string]lye.Cooling{}
	for _, what := range []string{heatLye, heatFat} {
		if len(r.of[what]) == 0 {
			continue
		}
		c, err := lye.CoolingOf(r.of[heatRoom][0], r.of[what][0], r.of[what][1], r.gap)
		if err != nil {
			return noCooling(what, err), nil
		}
		wait, err := c.Until(target)
		if err != nil {
			return desk.Refuse(fmt.Sprintf("%s is not above the room: nothing cools to it by itself.", heat(req, target))), nil
		}
		curves[what], waits[what] = c, wait
		out.Lines = append(out.Lines, reaches(req, what, target, wait))
	}
	last := max(waits[heatLye], waits[heatFat])
	out.Head = fmt.Sprintf("Ready to mix at about %s.", req.WallOf(req.Now.Add(last)).Format("15:04"))
	if len(curves) == 1 {
		out.Head = desk.Upper(reaches(req, onlyKey(curves), target, last)) + "."
		out.Lines = nil
	}
	if len(curves) == 2 {
		out.Lines = append(out.Lines, meeting(req, curves, waits, target, last)...)
	}
	out.Cautions = []string{"An estimate: hot lye cools faster at first. Measure again before you mix, and stir before you measure."}
	if last == 0 {
		out.Head = "Cool enough already."
		return out, nil
	}
	return ringCool(req, out, target, last)
}

// ringCool sets the bell for the time at which both are cool enough. It is a
// safety bell: the lye stands open.
func ringCool(req *desk.Request, out desk.Reply, target float64, wait time.Duration) (desk.Reply, error) {
	b := storage.Bell{
		Household: req.House.ID, Title: "lye and fat at " + heat(req, target), Hint: "Measure both, then mix, with goggles and gloves on.", Whom: reminders.People(req.Who.ID),
		Next: req.Now.Add(wait).Truncate(time.Second), Elapsed: true, Useful: 4 * time.Hour, Subject: "cooling", Why: "lye is cooling", Made: req.Now,
	}
	reminders.Classify(&b)
	if err := req.Record(storage.Entry{Kind: "cooling", Text: fmt.Sprintf("lye cools to %s by %s", heat(req, target), req.Say(b.Next))}); err != nil {
		return desk.Reply{}, err
	}
	if err := endBells(req, "cooling"); err != nil { // new readings replace the older ones
		return desk.Reply{}, err
	}
	b, err := req.Tx.AddBell(b)
	if err != nil {
		return desk.Reply{}, err
	}
	out.Lines = append(out.Lines, fmt.Sprintf("Bell %d rings at %s.", b.Num, req.WallOf(b.Next).Format("15:04")))
	out.Buttons = []storage.Button{desk.Labelled("Undo", "undo")}
	return out, nil
}

// readHeats reads the temperatures, each behind the name of what it is of, and the
// time between the readings. What is missing is asked, never guessed.
func readHeats(req *desk.Request) (readings, desk.Reply, bool) {
	r := readings{of: map[string][]float64{}}
	now := ""
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Term:
			now = v.Name
		case time.Duration:
			r.gap = v.Abs()
		case phrase.Quantity:
			if v.Unit.Dim != measure.Temperature || v.Top != nil {
				return r, desk.AskBack(fmt.Sprintf("%s is no temperature. For example: cooling lye 84 then 62 after 25 min, room 19", desk.Quote(s.Text))), false
			}
			r.add(now, v.Float())
		case *big.Rat:
			f, _ := v.Float64()
			r.bare = true
			if req.House.US { // plain degrees are the household's own
				f = (f - 32) * 5 / 9
			}
			r.add(now, f)
		}
	}
	return r, r.missing(req), r.missing(req).Head == ""
}

func (r *readings) add(what string, c float64) {
	if what != "" {
		r.of[what] = append(r.of[what], c)
	}
}

// missing asks for what is needed and was not said.
func (r *readings) missing(req *desk.Request) desk.Reply {
	const example = " For example: cooling lye 84 then 62 after 25 min, fat 70 then 60, room 19"
	n, m := len(r.of[heatLye]), len(r.of[heatFat])
	switch {
	case len(req.Reading.Unknown) > 0:
		return desk.AskBack("I do not know " + desk.Quote(desk.UnknownWords(req.Reading.Unknown)) + " there." + example)
	case n != 2 && n != 0 || m != 2 && m != 0 || n+m == 0:
		return desk.AskBack("Two readings of the lye, and two of the fat if you have them: the first, then the later one." + example)
	case len(r.of[heatRoom]) != 1:
		return desk.AskBack("How warm is the room?" + example)
	case r.bare && r.of[heatRoom][0] < coldRoom:
		return desk.AskBack(fmt.Sprintf("A room of %s? Write C or F behind the figures: lye 84C then 62C after 25 min, room 19C, or lye 183F then 144F after 25 min, room 66F", heat(req, r.of[heatRoom][0])))
	case len(r.of[heatTarget]) > 1:
		return desk.AskBack("One temperature to mix at, please." + example)
	case r.gap == 0:
		return desk.AskBack("How long between the two readings?" + example)
	case r.gap < leastApart || r.gap > 6*time.Hour:
		return desk.AskBack("Take the readings 10 to 60 minutes apart: closer, and a degree of error is hours.")
	}
	for what, all := range r.of {
		if slices.ContainsFunc(all, func(c float64) bool { return c < -30 || c > 150 }) {
			return desk.Refuse(fmt.Sprintf("A temperature of the %s cannot be: is it in the other degrees? Write 62C or 144F.", what))
		}
	}
	return desk.Reply{}
}

// coldRoom is the temperature, in C, below which a room is most likely told in the
// other degrees: 19 where plain degrees are Fahrenheit.
const coldRoom = 2.0

// readAs says in which degrees bare figures were read.
func (r readings) readAs(req *desk.Request) string {
	var out []string
	for _, what := range []string{heatLye, heatFat, heatRoom} {
		var all []string
		for _, c := range r.of[what] {
			all = append(all, heat(req, c))
		}
		if len(all) > 0 {
			out = append(out, what+" "+strings.Join(all, " then "))
		}
	}
	return "read as " + strings.Join(out, ", ")
}

func noCooling(what string, err error) desk.Reply {
	if errors.Is(err, lye.ErrCooling) {
		return desk.Refuse(fmt.Sprintf("The readings of the %s do not show it cooling towards the room: first the higher one, then the lower, both above the room.", what))
	}
	return desk.Refuse("That cannot be worked out.")
}

func reaches(req *desk.Request, what string, target float64, wait time.Duration) string {
	if wait == 0 {
		return fmt.Sprintf("%s is at or below %s already", what, heat(req, target))
	}
	return fmt.Sprintf("%s reaches %s at about %s, in %s", what, heat(req, target), req.WallOf(req.Now.Add(wait)).Format("15:04"), reminders.SayDuration(wait))
}

// meeting says how far apart the two are when the later one is cool enough, and
// what to do when that is too far.
func meeting(req *desk.Request, curves map[string]lye.Cooling, waits map[string]time.Duration, target float64, last time.Duration) []string {
	first, second := heatLye, heatFat
	if waits[heatLye] > waits[heatFat] {
		first, second = heatFat, heatLye
	}
	then := curves[first].After(last)
	if target-then <= closeEnough {
		return []string{fmt.Sprintf("then the %s is at %s", first, heat(req, then))}
	}
	if first == heatFat {
		return []string{fmt.Sprintf("the fat will be at %s by then: warm it gently to %s. Hard fats set below 45 C and look like trace.", heat(req, then), heat(req, target))}
	}
	return []string{fmt.Sprintf("the lye will be at %s by then: cool the %s in a basin of cold water, or stand the lye jug in warm water. Never heat lye on a stove.", heat(req, then), second)}
}

// heat writes a temperature in the household's degrees.
func heat(req *desk.Request, c float64) string {
	if req.House.US {
		return fmt.Sprintf("%.0f F", math.Round(c*9/5+32))
	}
	return fmt.Sprintf("%.0f C", math.Round(c))
}

func heatStep(req *desk.Request, k float64) string {
	if req.House.US {
		return fmt.Sprintf("%.0f F", k*9/5)
	}
	return fmt.Sprintf("%.0f C", k)
}

func onlyKey(m map[string]lye.Cooling) string {
	for k := range m {
		return k
	}
	return ""
}

// peakLine says how hot the lye gets by itself, so that the pot can be chosen.
func peakLine(req *desk.Request, strength, startC float64) string {
	peak, err := lye.PeakOf(strength, startC)
	if err != nil {
		return ""
	}
	ice, err := lye.IcePeak(strength)
	if err != nil {
		return ""
	}
	return fmt.Sprintf("The lye heats itself to as much as %s from water at %s, to about %s with half of the water as ice.", heat(req, peak.High), heat(req, startC), heat(req, ice))
}
