package kitchen

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/dayplan"
	"yardbell/calc/measure"
	"yardbell/calc/safety"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
)

// question is one of the safe-limits questions.
func question(help string, forms []string, example string, plain func(*desk.Request) bool, do func(*desk.Request) (desk.Reply, error)) desk.Ask {
	short := func(req *desk.Request) bool { return len(req.Reading.Tokens) <= longestQuestion && plain(req) }
	return desk.Ask{
		Name: "safe", Command: "safe", Text: true, Question: true, Help: help, Forms: forms, Keep: true,
		Kinds:    []phrase.Kind{phrase.KindDuration, phrase.KindAfter, phrase.KindClock, phrase.KindPart, phrase.KindDate, phrase.KindQuantity, phrase.KindNumber},
		Examples: []desk.Example{{Line: example}}, Plain: short, Do: do,
	}
}

// longestQuestion is how many words and marks a question of safety has at the most: a
// whole morning told in one message is talk.
const longestQuestion = 25

// figured is a question in which no time of day is said: "at 1500 m" is a height.
func figured(a desk.Ask) desk.Ask {
	a.Kinds = []phrase.Kind{phrase.KindQuantity, phrase.KindNumber}
	return a
}

func safeAsks() []desk.Ask {
	food := func(without ...string) func(*desk.Request) bool {
		without = append(without, "was", "lovely", "hens", "shop")
		return func(req *desk.Request) bool { return foodNamed(req) && !req.Mentions(without...) }
	}
	always := func(*desk.Request) bool { return true }
	return []desk.Ask{
		question("the safe temperature inside a food", []string{"^safe temperature|temp", "^safe", "safe temperature|temp|tempreature", "what temperature|temp * cook|cooked|done|safe|for|should|reach", "how hot for|must|should|is|do", "when is|are * safe|done", "what should|must * reach", "is|are * done|safe|cooked|ok at", "at|is * done|safe$", "^can * be pink", "temp|temperature$", "is * in the middle"}, "safe temperature for chicken", food("kept", "held", "hold", "as", "home", "we", "coop", "with"), inside),
		question("how long a food keeps, in the fridge and frozen", []string{"how long does|do|can|will|should|is|are * keep|keeps|last|lasts|freeze|store|stored|good|fridge", "is|are it|the|they * still good|safe|ok|okay", "how long * good for", "how long does|do|will * stay"}, "how long does soup keep", food("since", "out", "side", "counter", "table", "with", "crown", "place"), keeping),
		question("food that was out of the fridge", []string{"left|sat|stood|standing|been out", "leave * out", "on the side|counter|table|worktop|bench since|for|all", "out of the fridge since|for|all", "out since|overnight", "was|were|is|been out", "left the * out|on", "sat|stood|left * on the stove|hob|side|counter", "how long can|may * be|sit|stand out", "out for"}, "rice left out since noon", plainOut, leftOut),
		question("how fast cooked food must cool", []string{"how fast|quickly|quick|long * cool", "cooling rule", "how long can * cool", "^can|may|should|could * cool"}, "how long can the stew cool", func(req *desk.Request) bool { return foodNamed(req) || len(req.Reading.Terms("recipes")) > 0 }, coolingRule),
		question("readings of what is cooling, held against the rule", []string{"was * at * at", "is|was * at"}, "the stew was 70 C at 6 pm, 30 C at 8 pm", plainReadings, coolingLog),
		question("heating food again", []string{"can|should|may|to|i|we reheat", "reheat|reheating in|to|the", "heat * again"}, "can I reheat in the slow cooker", func(req *desk.Request) bool { return foodNamed(req) || req.Mentions("slow", "cooker", "twice") }, reheating),
		question("thawing", []string{"how long * thaw|defrost", "thaw|defrost * how long", "^can|may|should * thaw|defrost"}, "how long to thaw a 2 kg chicken in the fridge", always, thawing),
		question("power cuts", []string{"power * went|off|out|cut", "electricity|electric * went|off|out|cut", "no power|electric since|for", "lost power", "fridge|freezer was|is|been off|unplugged", "fridge|freezer has been off|unplugged", "fridge|freezer unplugged", "freezer|fridge door * open", "after a power cut"}, "power went off 5 hours ago", func(req *desk.Request) bool {
			timed := len(req.Reading.Of(phrase.KindDuration))+len(req.Reading.Of(phrase.KindAfter))+len(req.Reading.Of(phrase.KindClock)) > 0
			return req.Mentions("off", "out", "cut", "gone", "no", "lost", "unplugged", "open") && (req.Mentions("fridge", "freezer") || timed) && !req.Mentions("phone", "shed", "hens", "punch", "saw", "fence")
		}, powerCut),
		figured(question("where water boils", []string{"boiling point|temperature", "water boil|boils * at", "does|do water boil"}, "boiling point at 1500 m", always, boiling)),
		question("how cold a fridge, how hot food held for serving", []string{"how cold * fridge|freezer", "what temperature|temp * fridge|freezer", "how hot|warm * kept|hold|held|keep", "fridge|freezer temperature|temp"}, "how cold should the fridge be", always, holding),
		question("foods with a rule of their own", []string{"can|may|should|is * slow cooker", "can|may|should|is * crock|crockpot", "beans in the slow cooker", "beans in the|a crock|crockpot", "honey * baby|babies|infant|month", "baby|babies * honey", "can|may * have|eat|give honey|raw", "can|may * honey", "is * raw milk", "^raw milk", "^green|sprouted|sprouting potatoes|potato", "is|are green|sprouted|sprouting", "potatoes|potato * green|sprouted|sprouting", "is raw"}, "can the baby have honey", func(req *desk.Request) bool {
			return len(safety.Rules(strings.ToLower(req.Text))) > 0 && !req.Mentions("reheat", "reheated", "reheating", "warm", "chit", "chitted", "plant", "planted", "planting", "seed", "bed", "sow")
		}, rules),
		figured(question("canning: who decides", []string{"how long * can|pressure|process|preserve", "what pressure", "processing time", "pressure * canning|canner", "can|should i|we|you * bottle|jar|jars|can", "water bath", "^how long * boil|process|steam", "to|safe to|home can", "can|process|bottle * how long", "^can|may|should|could|is|are * canned|bottled|canning|bath|jarred"}, "how long do I pressure can beans", aboutCanning, canning)),
	}
}

// foodNamed reports that a line names a food of the published charts.
func foodNamed(req *desk.Request) bool {
	text := foodText(req)
	_, cook := safety.Internal(text)
	_, keep := safety.Storage(text)
	return cook || keep
}

// asking are the words of a question about food that name no food.
var asking = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range strings.Fields("how long does do did will can should must may is are be it i we they what when whats keep keeps kept last lasts stay stays good freeze frozen freezer fridge for in the temperature temp tempreature safe to hot cold reach cook done still ok okay eat please thanks at inside middle of stored store old day days week weeks fortnight month months year years and that this those these my your with") {
		m[w] = true
	}
	return m
}()

// foodText is what a question is about: its words without those of asking, a slip in
// the name of a food of the chart put right.
func foodText(req *desk.Request) string {
	var words []string
	for _, t := range req.Reading.Tokens {
		if t.Kind == phrase.Word && !asking[t.Low] {
			words = append(words, charted(t.Low))
		}
	}
	return strings.Join(words, " ")
}

// charted is a word of the charts that is one slip away, or the word itself.
func charted(w string) string {
	if len(w) < 5 {
		return w
	}
	for _, c := range safety.Cooks() {
		for _, name := range phrase.Words(c.Food) {
			if len(name) >= 5 && phrase.Distance(strings.ToLower(name), w) == 1 {
				return strings.ToLower(name)
			}
		}
	}
	return w
}

func plainOut(req *desk.Request) bool {
	food := foodNamed(req) || req.Mentions("food", "pie", "supper", "dinner", "leftovers", "casserole", "cake", "stock", "curry", "salad", "sandwich", "pizza", "milk", "rice", "formula", "mayo")
	timed := len(req.Reading.Of(phrase.KindDuration))+len(req.Reading.Of(phrase.KindAfter))+len(req.Reading.Of(phrase.KindClock)) > 0 || req.Mentions("since") || req.Mentions(longWords...)
	if strings.HasPrefix(req.Form, "was|") && !timed {
		return false
	}
	return food && !req.Mentions("hens", "feed", "lovely", "dog", "cat", "hay", "ducks", "turkeys", "geese", "goose", "chickens", "lambs", "tank", "rain", "cold", "field", "pen", "van", "delivery", "boat")
}

// rules prints the published cautions that belong to what was asked.
func rules(req *desk.Request) (desk.Reply, error) {
	found := safety.Rules(strings.ToLower(req.Text))
	if len(found) == 0 {
		return desk.AskBack("Of which food? For example: safe temperature for chicken, how long does soup keep"), nil
	}
	out := desk.Answer(found[0].Text)
	if p, ok := grown(req); ok && found[0].Name == "honey" {
		return desk.Answer(fmt.Sprintf("Yes: %s is over 12 months. ", p) + out.Head), nil
	}
	if req.Mentions("frozen") && strings.Contains(found[0].Text, "never cook from frozen") {
		out.Head = "No. " + out.Head
	}
	for _, r := range found[1:] {
		if !everyPot[r.Name] {
			out.Lines = append(out.Lines, r.Text)
		}
	}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// grown is the person of the household that a line names, when known to be older than an
// infant.
func grown(req *desk.Request) (string, bool) {
	for _, t := range req.Reading.Tokens {
		if p, ok := req.Person(t.Low); ok && p.AgeAt(req.Now) >= 2 {
			return p.Name, true
		}
	}
	return "", false
}

// holding is how cold the fridge is and how hot served food is held.
func holding(req *desk.Request) (desk.Reply, error) {
	if req.Mentions("fridge", "freezer", "cold") {
		c := safety.HoldCold().C
		return desk.Answer(fmt.Sprintf("The fridge at %s or colder, the freezer at %s.", bothTemps(req, c, c*9/5+32), bothTemps(req, freezer, freezer*9/5+32)), "A thermometer in the middle of the shelf shows it; the dial does not."), nil
	}
	c := safety.HoldHot().C
	return desk.Answer(fmt.Sprintf("Hot food is held at %s or more until it is served.", bothTemps(req, c, c*9/5+32))), nil
}

// freezer is the temperature of a household freezer, °C: 0 °F.
const freezer = -17.8

// thawing says how long a piece of meat takes to thaw.
func thawing(req *desk.Request) (desk.Reply, error) {
	grams := massSaid(req)
	if req.Mentions("counter", "side", "hot", "warm", "table") {
		return desk.Answer("No: never on the counter and never in warm water. In the fridge, or in cold water changed every 30 minutes and cooked at once."), nil
	}
	if grams == 0 {
		return desk.AskBack("How heavy is it? For example: how long to thaw a 2 kg chicken in the fridge"), nil
	}
	fridge, err := dayplan.ThawTime(grams/1000, dayplan.InFridge)
	if err != nil {
		return desk.AskBack("How heavy is it? For example: how long to thaw a 2 kg chicken in the fridge"), nil //nolint:nilerr // said to the person
	}
	water, err := dayplan.ThawTime(grams/1000, dayplan.InColdWater)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("thawing: %w", err)
	}
	out := desk.Answer(fmt.Sprintf("In the fridge about %s; in cold water about %s, changed every 30 minutes and cooked at once.", hours(fridge.Likely), hours(water.Likely)))
	out.Assumed = []string{"24 h for every 2 kg (4 to 5 lb) in the fridge, 30 min a pound in water"}
	out.Cautions = []string{"Never on the counter and never in warm water. On a dish below everything else, so that it drips on nothing."}
	return out, nil
}

// hours writes a time in hours, as the published limits do.
func hours(d time.Duration) string {
	if d < time.Hour {
		return fmt.Sprintf("%.0f min", d.Minutes())
	}
	return strings.TrimSuffix(fmt.Sprintf("%.1f", d.Hours()), ".0") + " h"
}

// readingsSaid pairs each temperature of a line with the time behind it, in order of time.
func readingsSaid(req *desk.Request) (out []safety.Reading, first time.Time) {
	var c *float64
	type at struct {
		wall time.Time
		c    float64
	}
	var all []at
	for _, s := range req.Reading.Spans {
		if q, ok := s.Value.(phrase.Quantity); ok && q.Unit.Dim == measure.Temperature {
			f := q.Float()
			c = &f
			continue
		}
		if _, ok := s.Value.(phrase.Clock); !ok || c == nil {
			continue
		}
		one := req.Reading
		one.Spans = []phrase.Span{s}
		all, c = append(all, at{one.Moment(req.Context(), phrase.Past).Wall, *c}), nil
	}
	for i, a := range all {
		if i == 0 || a.wall.Before(first) {
			first = a.wall
		}
	}
	for _, a := range all {
		out = append(out, safety.Reading{After: req.Instant(a.wall).Sub(req.Instant(first)), C: a.c})
	}
	return out, first
}

func plainReadings(req *desk.Request) bool {
	log, _ := readingsSaid(req)
	return len(log) >= 2 && foodNamed(req) && !req.Mentions("lye", "fat", "fats", "oils", "soap")
}

// coolingLog holds readings of a cooling food against the two stages of the rule.
func coolingLog(req *desk.Request) (desk.Reply, error) {
	log, first := readingsSaid(req)
	v, err := safety.Cooling(log)
	if len(log) == 0 || err != nil {
		return desk.AskBack("Which temperatures, and when? For example: the stew was 70 C at 6 pm, 30 C at 8 pm"), nil //nolint:nilerr // said to the person
	}
	due := safety.CoolingDue()
	by := req.After(first, v.By).Format("15:04")
	again := safety.Reheat().C
	var out desk.Reply
	switch {
	case v.Do == safety.Discard:
		out = desk.Answer("Too slow: throw it out.")
	case v.Do == safety.ReheatOnce && req.Now.Sub(req.Instant(first)) > due[0].Within:
		out = desk.Answer(fmt.Sprintf("Too slow, and its %s are over: throw it out.", hours(due[0].Within)))
	case v.Do == safety.SoFar && v.By > 0 && req.Now.After(req.Instant(first).Add(v.By)):
		out = desk.Answer(fmt.Sprintf("In time as far as it was measured, but %s has passed: measure it now. Not cold enough: throw it out.", by))
	case v.Do == safety.ReheatOnce:
		out = desk.Answer(fmt.Sprintf("Too slow. Back on the heat to %s now, once only, and cool it again in shallow pans in an ice bath; or throw it out.", sayTemp(req, again)))
	case v.Stage == 1:
		out = desk.Answer(fmt.Sprintf("In time so far. Below %s by %s.", sayTemp(req, due[0].C), by))
	case v.Stage == 2:
		out = desk.Answer(fmt.Sprintf("In time so far. Below %s by %s.", sayTemp(req, due[1].C), by))
	default:
		out = desk.Answer("Cooled in time: into the fridge.")
	}
	out.Assumed = []string{fmt.Sprintf("from %s to %s in %s, to %s in %s in all; taken in the middle", sayTemp(req, 57.2), sayTemp(req, due[0].C), hours(due[0].Within), sayTemp(req, due[1].C), hours(due[1].Within))}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

func inside(req *desk.Request) (desk.Reply, error) {
	rows, ok := safety.Internal(foodText(req))
	if !ok {
		return desk.AskBack("Of which food? For example: safe temperature for chicken, how long does soup keep"), nil
	}
	out := desk.Answer("")
	for i, c := range rows {
		line := c.Food
		if c.ByThermometer() {
			line += ": " + bothTemps(req, c.C, c.F)
		}
		if c.Rest > 0 {
			line += fmt.Sprintf(", then %s of rest", reminders.SayDuration(c.Rest))
		}
		if c.Note != "" {
			line += "; " + lowered(strings.TrimSuffix(c.Note, "."))
		}
		if i == 0 {
			out.Head = desk.Upper(line) + "."
			continue
		}
		out.Lines = append(out.Lines, line)
	}
	out.Assumed = []string{"in the middle, by a thermometer; the food-safety authorities' list"}
	if req.Mentions("pink") {
		out.Head = "The colour does not tell. " + out.Head
	}
	return verdict(req, rows[0], out), nil
}

// bareTemp matches a temperature that is said without its scale, or as "68 c", which
// are cups elsewhere.
var bareTemp = phrase.NewPattern(`(?i)(?:^|\s)(-?\d{2,3})\s*(c|f)?\b`)

// degrees is the temperature of a question: with its scale, or the one bare number of two
// or three figures, in the household's scale.
func degrees(req *desk.Request) (float64, bool) {
	if c, ok := heat(req); ok {
		return c, true
	}
	found := bareTemp.Re().FindAllStringSubmatch(req.Text, -1)
	if len(found) != 1 {
		return 0, false
	}
	said, err := strconv.ParseFloat(found[0][1], 64)
	scale := strings.ToLower(found[0][2])
	if scale == "f" || scale == "" && req.House.US {
		said = (said - 32) * 5 / 9
	}
	return said, err == nil
}

// verdict says first whether a temperature of the line is enough. A bare number is in the
// household's scale.
func verdict(req *desk.Request, c safety.Cook, out desk.Reply) desk.Reply {
	said, ok := degrees(req)
	switch {
	case !ok || !c.ByThermometer():
		return out
	case said < c.C-0.5:
		out.Head = fmt.Sprintf("No, %s is not enough. ", sayTemp(req, said)) + out.Head
	default:
		out.Head = fmt.Sprintf("Yes, %s is enough. ", sayTemp(req, said)) + out.Head
	}
	return out
}

func bothTemps(req *desk.Request, c, f float64) string {
	f = math.Round(f) + 0 // no "-0"
	if req.House.US {
		return fmt.Sprintf("%.0f F (%.0f C)", f, c)
	}
	return fmt.Sprintf("%.0f C (%.0f F)", c, f)
}

func keeping(req *desk.Request) (desk.Reply, error) {
	rows, ok := safety.Storage(foodText(req))
	if !ok {
		return desk.AskBack("Of which food? For example: how long does soup keep"), nil
	}
	out := desk.Answer("")
	for i, k := range rows {
		line := fmt.Sprintf("%s: %s in the fridge", k.Food, spanOfDays(k.FridgeLow, k.FridgeHigh, "day"))
		if k.FreezerHigh > 0 {
			line += fmt.Sprintf(", %s in the freezer for its quality", spanOfDays(k.FreezerLow, k.FreezerHigh, "month"))
		}
		if k.Note != "" {
			line += "; " + lowered(strings.TrimSuffix(k.Note, "."))
		}
		if i == 0 {
			out.Head = desk.Upper(line) + "."
			continue
		}
		out.Lines = append(out.Lines, line)
	}
	if days := daysOld(req); days > 0 && !req.Mentions("freezer", "frozen") {
		out.Head = stillGood(days, rows[0]) + " " + out.Head
	}
	out.Assumed = []string{fmt.Sprintf("a fridge of %s or colder; counted from the day it was made", bothTemps(req, safety.HoldCold().C, safety.HoldCold().C*9/5+32))}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// stillGood says whether a food so many days old is still within the chart.
func stillGood(days int, k safety.Keep) string {
	age := desk.Plural(days, "day")
	switch {
	case days > k.FridgeHigh:
		return fmt.Sprintf("No: %s is too old.", age)
	case days == k.FridgeHigh:
		return fmt.Sprintf("Today or not at all: %s is its last.", age)
	case days >= k.FridgeLow:
		return fmt.Sprintf("Yes, but soon: %s is near its end.", age)
	}
	return fmt.Sprintf("Yes, after %s, if it went into the fridge within two hours and stayed there.", age)
}

func spanOfDays(low, high int, unit string) string {
	if low == high {
		return desk.Plural(low, unit)
	}
	return fmt.Sprintf("%d to %s", low, desk.Plural(high, unit))
}

func powerCut(req *desk.Request) (desk.Reply, error) {
	off, sure := lasted(req)
	if off <= 0 || !sure {
		l := safety.PowerLimits()
		return desk.AskBack(fmt.Sprintf("For how many hours? A shut fridge holds %s, a full freezer %s, a half full one %s. For example: power off 5 hours", hours(l.Fridge), hours(l.FreezerFull), hours(l.FreezerHalf))), nil
	}
	full := req.Mentions("full") && !req.Mentions("half", "quarter", "not", "nearly", "almost", "hardly", "third")
	opened := req.Mentions("opened", "open", "opening", "ajar")
	items, err := safety.PowerCut(off.Hours(), opened, full)
	if err != nil {
		return desk.AskBack("For how many hours? For example: power off 5 hours"), nil //nolint:nilerr // said to the person
	}
	out := desk.Answer(fmt.Sprintf("%s without power:", hours(off)))
	for _, place := range []string{safety.Fridge, safety.Freezer} {
		var keep, discard []string
		for _, it := range items {
			if it.Place != place {
				continue
			}
			if it.Keep {
				keep = append(keep, it.Kind)
			} else {
				discard = append(discard, it.Kind)
			}
		}
		if len(discard) > 0 {
			out.Lines = append(out.Lines, fmt.Sprintf("%s, throw out: %s", desk.Upper(place), strings.Join(discard, ", ")))
		}
		if len(keep) > 0 {
			out.Lines = append(out.Lines, fmt.Sprintf("%s, keep: %s", desk.Upper(place), strings.Join(keep, ", ")))
		}
	}
	l := safety.PowerLimits()
	how := "the doors stayed shut"
	if opened {
		how = "opened, it holds two hours; with the doors shut"
	}
	if !full {
		how = "a freezer that is not full; " + how
	}
	out.Assumed = []string{fmt.Sprintf(how+": fridge %s, full freezer %s, half full %s", hours(l.Fridge), hours(l.FreezerFull), hours(l.FreezerHalf))}
	out.Lines = append(out.Lines, "What still holds ice crystals all through, or a thermometer beside it shows 4 C (40 F) or less, may be frozen again.")
	out.Cautions = []string{safety.Doubt + " Never taste to find out."}
	return out, nil
}

// hotWords tell of air above 32 C where no figure is said; longWords of a night or more.
var (
	hotWords  = []string{"hot", "sun", "car", "heat", "heatwave", "sweltering", "boot"}
	longWords = []string{"overnight", "night", "yesterday", "days"}
)

func leftOut(req *desk.Request) (desk.Reply, error) {
	air := 20.0
	if c, ok := heat(req); ok {
		air = c
	} else if req.Mentions(hotWords...) {
		air = hotAir
	}
	limit := safety.TwoHours(air)
	d, sure := lasted(req)
	out := desk.Answer(fmt.Sprintf("Food that spoils may stand out for %s at the most, all times added up.", reminders.SayDuration(limit)))
	switch {
	case req.Mentions(longWords...) || slices.ContainsFunc(req.Reading.Of(phrase.KindDate), func(s phrase.Span) bool { return !strings.EqualFold(s.Text, "sun") }):
		out = desk.Answer(fmt.Sprintf("No: that is longer than %s. Throw it out, and leave none so.", reminders.SayDuration(limit)))
	case !sure:
		return desk.AskBack(fmt.Sprintf("For how long was it out, all times added up? %s at the most; after that it is thrown out. For example: left out 90 minutes", reminders.SayDuration(limit))), nil
	case d > 0:
		v, err := safety.OutOfFridge(air, d)
		if err != nil {
			return desk.Reply{}, fmt.Errorf("out of the fridge: %w", err)
		}
		out = desk.Answer(fmt.Sprintf("%s out: within the limit of %s, into the fridge now.", reminders.SayDuration(d), reminders.SayDuration(limit)))
		if !v.OK {
			out = desk.Answer(fmt.Sprintf("%s out: throw it out. The limit is %s.", reminders.SayDuration(d), reminders.SayDuration(limit)))
		}
	}
	out.Assumed = []string{"one hour only where the air is above 32 C (90 F); heating it again does not mend it"}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

// hotAir stands for air above 32 C of which no figure was said.
const hotAir = 33.0

func coolingRule(req *desk.Request) (desk.Reply, error) {
	due := safety.CoolingDue()
	out := desk.Answer(fmt.Sprintf("From %s to %s within %s, and to %s within %s in all.", sayTemp(req, 57.2), sayTemp(req, due[0].C), reminders.SayDuration(due[0].Within), sayTemp(req, due[1].C), reminders.SayDuration(due[1].Within)))
	if req.Mentions("overnight", "night") {
		out.Head = "No, not overnight. " + out.Head
	}
	out.Lines = []string{"Shallow pans, 5 cm of thick food at the most, in cold water or ice, stirred every 10 minutes.", "Say when it comes off, and I ring: the soup is off the heat"}
	out.Cautions = []string{safety.Doubt}
	return out, nil
}

func reheating(req *desk.Request) (desk.Reply, error) {
	out := desk.Answer(fmt.Sprintf("Reheat to %s all through, soups and sauces to a rolling boil, within two hours.", sayTemp(req, safety.Reheat().C)))
	for _, r := range safety.Rules(strings.ToLower(req.Text)) {
		if r.Name == "soups to a boil" || r.Name == "kidney beans" || r.Name == "rice cooled fast" {
			out.Lines = append(out.Lines, r.Text)
		}
	}
	if req.Mentions("slow", "cooker", "warmer", "crock") {
		out.Head = fmt.Sprintf("No: not in a slow cooker or a warmer. On the stove or in the oven to %s first; it may be kept hot there afterwards, at %s or more.", sayTemp(req, safety.Reheat().C), sayTemp(req, safety.HoldHot().C))
	}
	out.Lines = slices.Compact(out.Lines)
	out.Cautions = []string{safety.Doubt}
	return out, nil
}
