package kitchen

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/calc/measure"
	"yardbell/calc/scaling"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// prepTime is for washing, cutting and weighing, where nobody has said (common practice).
var prepTime = dayplan.Span{Min: 15 * time.Minute, Likely: 25 * time.Minute, Max: 40 * time.Minute}

// works maps words of a recipe's steps to the kind of work, first found first taken.
var works = []struct {
	kind  dayplan.Kind
	uses  string
	words []string
}{
	{dayplan.Thaw, "", []string{"thaw", "defrost"}},
	{dayplan.Soak, "", []string{"soak", "steep", "marinate", "brine"}},
	{dayplan.Preheat, dayplan.Oven, []string{"preheat"}},
	{dayplan.Cook, dayplan.SlowCooker, []string{"slow"}},
	{dayplan.Cook, dayplan.PressureCooker, []string{"pressure"}},
	{dayplan.Cook, dayplan.Oven, []string{"bake", "roast", "oven"}},
	{dayplan.Cook, dayplan.Hob, []string{"simmer", "boil", "fry", "stew", "braise", "poach", "cook", "sweat", "brown", "steam", "sear", "soften", "bubble"}},
	{dayplan.Rest, "", []string{"rest", "stand", "rise", "prove", "proof", "cool", "chill", "set", "leave", "freeze"}},
	{dayplan.Carve, "", []string{"carve"}},
}

var (
	spanText = phrase.NewPattern(`(?i)(\d+(?:\.\d+)?)\s*(?:-|–|to|or)\s*(\d+(?:\.\d+)?)\s*(hours?|hrs?|h|minutes?|mins?|min|m)\b`)
	rates    = phrase.NewPattern(`(?i)(?:\ba|\bevery|/)\s*(?:\d+\s*)?(?:kg|kilo|g|grams?|lbs?|pounds?|batch)\b|\b(?:minutes?|mins?|hours?)\s+(?:per|each)\b|\beach side\b|\bper (?:batch|tray|side)\b|\d\s*[x×]\s*\d+\s*(?:min|h)`)
	meantime = phrase.NewPattern(`(?i)\b(?:turn|turning|stir|stirring|baste|basting)\b[^.;,]*\b(?:after|every)\s+\d+\s*\w+`)
	laterOn  = phrase.NewPattern(`(?i)\b(?:keeps?|serve within|eat within|store|stores|will keep|freeze for|freezes)\b`)
	sentence = phrase.NewPattern(`(?:[.;]\s+|\n)`)
	stepNum  = phrase.NewPattern(`^\s*\d+\s*[.)]\s*`)
	bareTime = phrase.NewPattern(`(?i)\b(?:for|simmer|boil|bake|roast|cook|fry|stew|braise|steam|poach|rest|stand|prove|rise)\s+(?:(?:for|about|another|a further)\s+)*(\d{1,3})(?::([0-5]\d))?\s*([^\s\d.,;)]*)`)
	gasText  = phrase.NewPattern(`(?i)\bgas\s*(?:mark)?\s*(\d+)`)
)

// stepsOf reads a recipe's steps into work with its times; ok is false when none of
// them says how long the cooking takes.
func stepsOf(r storage.Recipe, ctx phrase.Context) (out []dayplan.Step, ok bool) {
	_, texts := parts(r.Body)
	prep := dayplan.Step{Name: "prepare", Min: prepTime.Min, Likely: prepTime.Likely, Max: prepTime.Max, Kind: dayplan.Prep, Attended: true}
	temp := 0.0
	if slices.ContainsFunc(texts, func(t string) bool { return rates.MatchString(t) }) {
		return nil, false // "20 minutes per 500 g", "10 minutes each": how much there is decides
	}
	for _, text := range texts {
		for _, s := range sentence.Re().Split(stepNum.ReplaceAllString(text, ""), -1) {
			temp = ovenC(s, ctx, temp)
			if laterOn.MatchString(s) { // "keeps for 3 days" is no work before serving
				continue
			}
			span, has := spanOf(meantime.ReplaceAllString(s, ""), ctx)
			if !has {
				continue
			}
			out = append(out, stepOf(s, span, temp))
		}
	}
	if !slices.ContainsFunc(out, func(s dayplan.Step) bool { return s.Kind == dayplan.Cook }) {
		return nil, false
	}
	at := 0 // what soaks or thaws comes before the cutting
	for at < len(out) && (out[at].Kind == dayplan.Soak || out[at].Kind == dayplan.Thaw) {
		at++
	}
	return append(out[:at:at], append([]dayplan.Step{prep}, out[at:]...)...), true
}

// untimed are the sentences of a recipe's steps that cook and say no time.
func untimed(r storage.Recipe, ctx phrase.Context) (out []string) {
	_, texts := parts(r.Body)
	for _, text := range texts {
		for _, s := range sentence.Re().Split(stepNum.ReplaceAllString(text, ""), -1) {
			if _, has := spanOf(s, ctx); !has && !laterOn.MatchString(s) && cooks(s) {
				out = append(out, brief(s))
			}
		}
	}
	return out
}

// cooks reports that a sentence puts something on the heat.
func cooks(text string) bool {
	return stepOf(text, dayplan.Span{}, 0).Uses != ""
}

// spanOf is how long a sentence says that its work takes.
func spanOf(text string, ctx phrase.Context) (dayplan.Span, bool) {
	if m := spanText.FindStringSubmatch(text); m != nil {
		low, _ := strconv.ParseFloat(m[1], 64)
		high, _ := strconv.ParseFloat(m[2], 64)
		unit := time.Minute
		if strings.HasPrefix(strings.ToLower(m[3]), "h") {
			unit = time.Hour
		}
		if low > 0 && high >= low {
			from, to := time.Duration(low*float64(unit)), time.Duration(high*float64(unit))
			return dayplan.Span{Min: from, Likely: (from + to) / 2, Max: to}, true
		}
	}
	r := phrase.Read(text, phrase.Tokens(text), ctx, phrase.Query{Kinds: []phrase.Kind{phrase.KindDuration}})
	total := time.Duration(0)
	either := strings.Contains(strings.ToLower(text), " or ")
	for _, s := range r.Of(phrase.KindDuration) {
		if d := s.Value.(time.Duration); either { // "high 4 hours or low 8 hours": the longer is the surer plan
			total = max(total, d)
		} else {
			total += d
		}
	}
	if total == 0 {
		total = bareMinutes(text)
	}
	if total == 0 && strings.Contains(strings.ToLower(text), "overnight") {
		return dayplan.Span{Min: 8 * time.Hour, Likely: 12 * time.Hour, Max: 24 * time.Hour}, true
	}
	return dayplan.Span{Min: total, Likely: total, Max: total + total/4}, total >= time.Minute && total <= 3*24*time.Hour
}

// bareMinutes is a time without its unit, as a cook writes it to herself: "then simmer
// 10" is minutes, "bake for 1:30" hours and minutes. A number that goes on with a word of
// its own ("for 8 people", "at 180 C", "boil 4 eggs") is none.
func bareMinutes(text string) (total time.Duration) {
	for _, m := range bareTime.Re().FindAllStringSubmatch(text, -1) {
		n, _ := strconv.Atoi(m[1])
		joins := []string{"", "and", "then", "until", "till", "or", "in", "at", "on", "with", "covered", "uncovered", "more"}
		switch {
		case n == 0 || !slices.Contains(joins, strings.ToLower(m[3])):
		case m[2] != "":
			minutes, _ := strconv.Atoi(m[2])
			total += time.Duration(n)*time.Hour + time.Duration(minutes)*time.Minute
		default:
			total += time.Duration(n) * time.Minute
		}
	}
	return total
}

// ovenC is the oven's temperature that a sentence names, else the one before.
func ovenC(text string, ctx phrase.Context, before float64) float64 {
	if m := gasText.FindStringSubmatch(text); m != nil {
		n, _ := strconv.ParseFloat(m[1], 64)
		if g, err := scaling.GasMark(n); err == nil {
			return g.C()
		}
	}
	r := phrase.Read(text, phrase.Tokens(text), ctx, phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}})
	for _, s := range r.Of(phrase.KindQuantity) {
		if q := s.Value.(phrase.Quantity); q.Unit.Dim == measure.Temperature && q.Float() > 90 && q.Float() < 320 {
			return q.Float()
		}
	}
	return before
}

func stepOf(text string, span dayplan.Span, temp float64) dayplan.Step {
	s := dayplan.Step{Name: brief(text), Min: span.Min, Likely: span.Likely, Max: span.Max, Kind: dayplan.Cook}
	words := phrase.Words(text)
	for _, w := range works {
		for _, word := range words {
			for _, stem := range w.words {
				if word == stem || word == stem+"s" || word == stem+"ing" || strings.TrimSuffix(stem, "e")+"ing" == word {
					s.Kind, s.Uses = w.kind, w.uses
					s.Low = w.uses == dayplan.SlowCooker && slices.Contains(words, "low")
					if s.Uses == dayplan.Oven {
						s.TempC = temp
					}
					return s
				}
			}
		}
	}
	return s
}

// brief is a step in a few words.
func brief(text string) string {
	text = strings.Trim(strings.Join(strings.Fields(text), " "), " .")
	if r := []rune(text); len(r) > 90 {
		return strings.TrimSpace(string(r[:87])) + "..."
	}
	return text
}

// Ways of cooking, as they are kept.
const (
	wayLow  = "low"
	wayHigh = "high"
	wayPot  = "pot"
)

// way is how a dish is cooked where the line says so and not the recipe.
type way struct {
	kind             string
	cook, rest, load time.Duration
}

// String writes a way as it is kept with a meal.
func (w way) String() string {
	return fmt.Sprintf("%s %d %d %d", w.kind, int(w.cook.Minutes()), int(w.rest.Minutes()), int(w.load.Minutes()))
}

// parseWay reads what String wrote.
func parseWay(text string) (w way, ok bool) {
	var cook, rest, load int
	if n, err := fmt.Sscanf(text, "%s %d %d %d", &w.kind, &cook, &rest, &load); n != 4 || err != nil || cook <= 0 {
		return way{}, false
	}
	w.cook, w.rest, w.load = time.Duration(cook)*time.Minute, time.Duration(rest)*time.Minute, time.Duration(load)*time.Minute
	return w, true
}

// steps are the work of a dish of which only the times are known.
func (w way) steps() []dayplan.Step {
	prep := dayplan.Step{Name: "prepare", Min: prepTime.Min, Likely: prepTime.Likely, Max: prepTime.Max, Kind: dayplan.Prep, Attended: true}
	if w.load > 0 {
		prep.Min, prep.Likely, prep.Max = w.load, w.load, w.load
	}
	cook := dayplan.Step{Name: "cook", Min: w.cook, Likely: w.cook, Max: w.cook + w.cook/4, Kind: dayplan.Cook, Uses: dayplan.Hob}
	if w.kind != wayPot {
		prep.Name, cook.Name, cook.Uses, cook.Low = "prepare and load", "slow cooker on "+w.kind, dayplan.SlowCooker, w.kind == wayLow
	}
	out := []dayplan.Step{prep, cook}
	if w.rest > 0 {
		out = append(out, dayplan.Step{Name: "rest", Min: w.rest, Likely: w.rest, Max: w.rest, Kind: dayplan.Rest})
	}
	return out
}

// saysHowLong matches a step that names its own time.
var saysHowLong = phrase.NewPattern(`(?i)\d\s*(?:h|hours?|hrs?|minutes?|mins?)\b|\bhour`)

// slotLine says one piece of work with its time.
func slotLine(now time.Time, s dayplan.Slot, dayFirst bool) string {
	text := reminders.SayTime(s.Start, now, dayFirst) + " " + s.Step.Name
	if s.Step.Likely > 0 && !saysHowLong.MatchString(s.Step.Name) {
		text += " (" + reminders.SayDuration(s.Step.Likely) + ")"
	}
	return text
}

// laid lays work back from serving. It counts in elapsed time, and gives each hour as the
// household's clock will show it: the night of a clock change is an hour short or long.
func laid(req *desk.Request, served time.Time, steps []dayplan.Step) ([]dayplan.Slot, error) {
	slots, err := dayplan.BackFrom(served.UTC(), steps)
	for i := range slots {
		slots[i].Start, slots[i].End, slots[i].Latest = req.WallOf(slots[i].Start), req.WallOf(slots[i].End), req.WallOf(slots[i].Latest)
	}
	return slots, err
}

// forward counts the rest of a dish's work on from when it really began, in elapsed time
// like laid.
func forward(req *desk.Request, began time.Time, done int, slots []dayplan.Slot) (left []dayplan.Slot, ready time.Time, high bool, err error) {
	real := slices.Clone(slots)
	for i, s := range real {
		real[i].Start, real[i].End, real[i].Latest = req.Instant(s.Start), req.Instant(s.End), req.Instant(s.Latest)
	}
	left, ready, high, err = dayplan.Forward(req.Instant(began), done, real)
	for i, s := range left {
		left[i].Start, left[i].End, left[i].Latest = req.WallOf(s.Start), req.WallOf(s.End), req.WallOf(s.Latest)
	}
	return left, req.WallOf(ready), high, err
}

// longest is the place of the longest cooking among a dish's work: what "it went on"
// is about.
func longest(slots []dayplan.Slot) int {
	best := 0
	for i, s := range slots {
		if s.Step.Kind == dayplan.Cook && (slots[best].Step.Kind != dayplan.Cook || s.Step.Likely > slots[best].Step.Likely) {
			best = i
		}
	}
	return best
}
