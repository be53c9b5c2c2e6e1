package kitchen

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// measuredAsk hears the thermometer while something is cooling: "the soup is 30 C".
func measuredAsk() desk.Ask {
	return desk.Ask{
		Name: "cool", Command: "meal", Text: true, Keep: true, Kinds: []phrase.Kind{phrase.KindQuantity, phrase.KindClock, phrase.KindPart, phrase.KindDate}, Help: "the thermometer's reading of what is cooling: closes the limit that it meets",
		Forms:    []string{"c|f|degrees|degree|deg|celsius|fahrenheit"},
		Examples: []desk.Example{{Setup: []string{oatcakes, soupText, "the barley soup is off the heat"}, Line: "the barley soup is 18 C"}},
		Plain:    plainMeasured, Do: measured,
	}
}

// measuredWords belong to a line that tells a reading, besides the dish.
var measuredWords = []string{"the", "a", "is", "it's", "its", "it", "now", "at", "down", "to", "already", "still", "only", "measured", "measures", "reads", "in", "middle", "of", "about", "says", "thermometer", "probe", "has", "come", "gone", "got", "was", "so", "far", "done", "c", "f", "degrees", "degree", "deg", "celsius", "fahrenheit", "and", "thanks", "pan", "pot", "cooled"}

func plainMeasured(req *desk.Request) bool {
	if strings.Contains(req.Text, "?") || req.Mentions("out", "outside", "today", "tonight", "tomorrow") {
		return false
	}
	pans, err := cooling(req)
	if err != nil || len(pans) == 0 {
		return false
	}
	if _, ok := oneReading(req); !ok {
		return false
	}
	if !told(pans, req) && !req.Direct && !slices.ContainsFunc(pans, pan.rings) { // the weather has degrees too
		return false
	}
	for _, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End })
		known := t.Kind != phrase.Word || slices.Contains(measuredWords, t.Low) || phrase.IsFiller(t.Low)
		if !covered && !known && !slices.ContainsFunc(pans, func(p pan) bool { return p.hasWord(t.Low) }) {
			return false
		}
	}
	return true
}

// oneReading is the one temperature of a line, in degrees Celsius.
func oneReading(req *desk.Request) (c float64, ok bool) {
	n := 0
	for _, s := range req.Reading.Of(phrase.KindQuantity) {
		q := s.Value.(phrase.Quantity)
		if q.Unit.Dim != measure.Temperature || q.Top != nil {
			return 0, false
		}
		c = q.Float()
		n++
	}
	return c, n == 1
}

// pan is a dish that is cooling, with the bells of the limits that nobody has answered.
type pan struct {
	dish string
	open []storage.Bell
	ring bool // one of them rings
	hot  bool // it is kept hot and does not cool
}

func (p pan) rings() bool { return p.ring }

func (p pan) hasWord(w string) bool {
	return slices.ContainsFunc(phrase.Words(p.dish), func(d string) bool { return sameWord(w, d) })
}

// told reports that a line names the dish.
func (p pan) told(req *desk.Request) bool {
	return slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool { return p.hasWord(t.Low) })
}

func told(pans []pan, req *desk.Request) bool {
	return slices.ContainsFunc(pans, func(p pan) bool { return p.told(req) })
}

// cooling are the dishes whose limits are open.
func cooling(req *desk.Request) ([]pan, error) {
	coming, err := req.Tx.ComingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	ringing, err := req.Tx.RingingBells(req.House.ID)
	if err != nil {
		return nil, err
	}
	var pans []pan
	for n, b := range append(slices.Clip(ringing), coming...) {
		kind, dish, _ := strings.Cut(b.Subject, ":")
		if kind != "pan" && kind != "hot" || b.Stopped || b.Step == "kept" {
			continue
		}
		i := slices.IndexFunc(pans, func(p pan) bool { return p.dish == dish && p.hot == (kind == "hot") })
		if i < 0 {
			pans = append(pans, pan{dish: dish, hot: kind == "hot"})
			i = len(pans) - 1
		}
		pans[i].open = append(pans[i].open, b)
		pans[i].ring = pans[i].ring || n < len(ringing)
	}
	for _, p := range pans {
		slices.SortFunc(p.open, func(a, b storage.Bell) int { return strings.Compare(a.Step, b.Step) })
	}
	return pans, nil
}

// measured holds a reading against the limits of what is cooling, and closes those that
// it meets in time.
func measured(req *desk.Request) (desk.Reply, error) {
	c, ok := oneReading(req)
	if !ok || c < -40 || c > 110 {
		return desk.AskBack("One temperature, please. For example: the soup is 30 C"), nil
	}
	pans, err := cooling(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if told(pans, req) {
		pans = slices.DeleteFunc(pans, func(p pan) bool { return !p.told(req) })
	}
	if len(pans) > 1 {
		out := desk.AskBack("Which one?")
		for _, p := range pans {
			out.Buttons = append(out.Buttons, desk.Button(fmt.Sprintf("the %s is %s", p.dish, sayTemp(req, c))))
		}
		return out, nil
	}
	if len(pans) == 0 {
		return desk.AskBack("Nothing is cooling. Say what came off the heat: the soup is off the heat"), nil
	}
	when := req.Wall
	if w := req.Reading.Moment(req.Context(), phrase.Past); w.HasClock && !w.Vague {
		when = w.Wall
	}
	if when.After(req.Wall) {
		return desk.AskBack(fmt.Sprintf("%s has not come yet. When was it measured?", when.Format("15:04"))), nil
	}
	if pans[0].hot {
		return judgedHot(req, pans[0], c, req.Instant(when))
	}
	return judged(req, pans[0], c, req.Instant(when))
}

// judgedHot says what a reading of food that is kept hot means.
func judgedHot(req *desk.Request, p pan, c float64, at time.Time) (desk.Reply, error) {
	hot := safety.HoldHot().C
	if err := req.Record(storage.Entry{Kind: "hold", About: holdSubject(p.dish), Text: fmt.Sprintf("%s measured %s", p.dish, sayTemp(req, c)), Happened: at}); err != nil {
		return desk.Reply{}, err
	}
	if c < hot-0.05 {
		return desk.Answer(fmt.Sprintf("Too cool: %s is wanted. Back to %s at once if it was below that for less than two hours; longer, or nobody knows: throw it out.", sayTemp(req, hot), sayTemp(req, safety.Reheat().C))), nil
	}
	out := desk.Answer(fmt.Sprintf("%s: hot enough.", sayTemp(req, c)))
	for _, b := range p.open {
		if b.Due.IsZero() { // it has not asked yet
			continue
		}
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
		lines, err := held(req, b, at)
		if err != nil {
			return desk.Reply{}, err
		}
		out.Lines = append(out.Lines, lines...)
	}
	return out, nil
}

// judged says what a reading means and closes the limits that it meets.
func judged(req *desk.Request, p pan, c float64, at time.Time) (desk.Reply, error) {
	due := safety.CoolingDue()
	text := fmt.Sprintf("%s measured %s", p.dish, sayTemp(req, c))
	if err := req.Record(storage.Entry{Kind: "cool", About: "pan:" + p.dish, Text: text, Happened: at}); err != nil {
		return desk.Reply{}, err
	}
	for _, b := range p.open {
		f := due[0]
		if b.Step == stage(2) {
			f = due[1]
		}
		limit := reminders.SayTime(req.WallOf(b.Until), req.Wall, req.House.DayFirst)
		switch {
		case c > f.C+0.05 && at.Before(b.Until) && b.Step == stage(2):
			return nextStage(req, p, c)
		case c > f.C+0.05 && at.Before(b.Until):
			left := b.Until.Sub(req.Now)
			if left <= 0 {
				return desk.Answer(fmt.Sprintf("%s then, and %s has passed: measure it now. Not below %s: throw it out.", desk.Upper(sayTemp(req, c)), limit, sayTemp(req, f.C))), nil
			}
			return desk.Answer(fmt.Sprintf("%s: not there yet. Below %s by %s, %s left.", sayTemp(req, c), sayTemp(req, f.C), limit, reminders.SayDuration(left)),
				"Into shallower pans, in cold water or ice, and stir."), nil
		case c > f.C+0.05 && b.Step == stage(1) && !at.After(b.Until.Add(5*time.Minute)):
			return desk.Answer(fmt.Sprintf("Too slow. Back on the heat to %s at once, once only, and cool it again in shallow pans in an ice bath; or throw it out.", sayTemp(req, safety.Reheat().C)),
				fmt.Sprintf("When it comes off the heat again: the %s is off the heat again", p.dish)), nil
		case c > f.C+0.05:
			if err := stopSubject(req, panSubject(p.dish)); err != nil {
				return desk.Reply{}, err
			}
			return desk.Answer(fmt.Sprintf("Too slow: it was to be below %s by %s. Throw it out.", sayTemp(req, f.C), limit)), nil
		case at.After(b.Until):
			return desk.Answer(fmt.Sprintf("Cold enough now, but %s was the limit for %s. Throw it out, unless it was measured below that in time; then say so: the %s was %s at %s", limit, sayTemp(req, f.C), p.dish, sayTemp(req, f.C-1), req.WallOf(b.Until).Format("15:04"))), nil
		}
		if err := req.Tx.StopBell(b.ID, req.Now); err != nil {
			return desk.Reply{}, err
		}
		if b.Step == stage(2) {
			return desk.Answer("Cooled in time: into the fridge."), nil
		}
	}
	return nextStage(req, p, c)
}

// nextStage says the limit that is left.
func nextStage(req *desk.Request, p pan, c float64) (desk.Reply, error) {
	two := p.open[len(p.open)-1]
	if two.Step != stage(2) {
		return desk.Answer("Cooled in time: into the fridge."), nil
	}
	return desk.Answer(fmt.Sprintf("%s: in time. Into the fridge, uncovered until cold; below %s by %s.", sayTemp(req, c), sayTemp(req, safety.CoolingDue()[1].C), reminders.SayTime(req.WallOf(two.Until), req.Wall, req.House.DayFirst))), nil
}
