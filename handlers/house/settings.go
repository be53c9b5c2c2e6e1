package house

import (
	"fmt"
	"math/big"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// show lists the settings.
func show(req *desk.Request) (desk.Reply, error) {
	h := req.House
	name := h.Name
	if name == "" {
		name = "This household"
	}
	units := "metric"
	if h.US {
		units = "us"
	}
	order := "month-first"
	if h.DayFirst {
		order = "day-first"
	}
	scale := req.Scale()
	reply := desk.Answer(name,
		"zone "+h.Zone.String()+", now "+req.Wall.Format("15:04"),
		"units "+units+", scale "+stepText(scale)+", dates "+order,
		"rounds "+h.Rounds[0].String()+" "+h.Rounds[1].String()+", evening look "+evening(h),
		"unanswered: "+reminders.ParseLadder(h.Again).Say(),
		"quiet "+h.Quiet.String(), "school "+h.School.String())
	if h.Place != "" {
		reply.Lines = append(reply.Lines, "at "+h.Place)
	}
	if h.Emergency != "" {
		reply.Lines = append(reply.Lines, "emergency "+h.Emergency)
	}
	if h.Frost[0] != "" {
		reply.Lines = append(reply.Lines, "last frost "+h.Frost[0])
	}
	if h.Frost[1] != "" {
		reply.Lines = append(reply.Lines, "first frost "+h.Frost[1])
	}
	reply.Buttons = []storage.Button{desk.Labelled("Who", "who"), desk.Labelled("How to change", "help house")}
	return reply, nil
}

func evening(h storage.Household) string {
	if h.Evening < 0 {
		return "off"
	}
	return h.Evening.String()
}

func stepText(s measure.Scale) string {
	if s.System == measure.US {
		return strconv.FormatFloat(s.Step, 'g', 4, 64) + " oz"
	}
	return strconv.FormatFloat(s.Step, 'g', 4, 64) + " g"
}

// set writes one setting and says what it is now.
func set(req *desk.Request, key, value, said string) (desk.Reply, error) {
	if err := req.Record(storage.Entry{Kind: "house", About: "house", Text: said}); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer(desk.Upper(said) + "."), req.Tx.Set(req.House.ID, key, value)
}

// rest returns what follows the words of the form, as typed.
func rest(req *desk.Request) string {
	return req.Reading.Rest(func(phrase.Span) bool { return false })
}

func setName(req *desk.Request) (desk.Reply, error) {
	name := rest(req)
	if name == "" || len([]rune(name)) > 60 {
		return desk.AskBack("What is the household called? For example: house name Hollin Bank"), nil
	}
	return set(req, storage.SetName, name, "the household is called "+name)
}

// setEmergency keeps the numbers that first aid shows first.
func setEmergency(req *desk.Request) (desk.Reply, error) {
	numbers := req.AfterForm()
	if !strings.ContainsAny(numbers, "0123456789") || len([]rune(numbers)) > 120 {
		return desk.AskBack("Which numbers? For example: house emergency 999, poison line 111"), nil
	}
	return set(req, storage.SetEmergency, numbers, "in an emergency call "+numbers)
}

func setZone(req *desk.Request) (desk.Reply, error) {
	typed := strings.TrimRight(firstWord(req.AfterForm()), ".,!")
	if typed == "" {
		return desk.AskBack("Which time zone? For example: house zone Europe/London"), nil
	}
	name := zoneName(typed)
	if _, err := time.LoadLocation(name); err != nil || name == "Local" {
		return desk.AskBack(fmt.Sprintf("I do not know the time zone %s. It is written Area/City, for example Europe/London or America/Chicago.", desk.Quote(typed))), nil
	}
	reply, err := set(req, storage.SetZone, name, "the zone is "+name)
	if err != nil {
		return reply, err
	}
	zone, _ := time.LoadLocation(name)
	reply.Lines = append(reply.Lines, "It is "+reminders.Wall(req.Now, zone).Format("15:04")+" there now.")
	return reply, resettle(req)
}

// zoneName writes a typed zone the way the zone files do: America/New_York.
func zoneName(typed string) string {
	if strings.EqualFold(typed, "utc") {
		return "UTC"
	}
	out := []byte(strings.ToLower(typed))
	for i, c := range out {
		if (i == 0 || out[i-1] == '/' || out[i-1] == '_' || out[i-1] == '-') && c >= 'a' && c <= 'z' {
			out[i] = c - 'a' + 'A'
		}
	}
	return string(out)
}

func firstWord(s string) string {
	w, _, _ := strings.Cut(s, " ")
	return w
}

func setUnits(req *desk.Request) (desk.Reply, error) {
	words := phrase.Words(rest(req))
	switch {
	case slices.ContainsFunc(words, func(w string) bool { return slices.Contains([]string{"us", "imperial", "ounces", "oz", "american"}, w) }):
		return set(req, storage.SetUnits, "us", "units are us: pounds and ounces")
	case slices.ContainsFunc(words, func(w string) bool { return slices.Contains([]string{"metric", "grams", "g", "si"}, w) }):
		return set(req, storage.SetUnits, "metric", "units are metric: grams")
	}
	return desk.AskBack("Which units?", desk.Button("house units metric"), desk.Button("house units us")), nil
}

func setDates(req *desk.Request) (desk.Reply, error) {
	words := phrase.Words(rest(req))
	switch {
	case slices.Contains(words, "month"):
		return set(req, storage.SetDates, "month-first", "6/7 is June 7: month-first")
	case slices.Contains(words, "day"):
		return set(req, storage.SetDates, "day-first", "6/7 is 6 July: day-first")
	}
	return desk.AskBack("Is 6/7 the 6th of July, or June 7th?", desk.Button("house dates day-first"), desk.Button("house dates month-first")), nil
}

func setScale(req *desk.Request) (desk.Reply, error) {
	qs := req.Reading.Of(phrase.KindQuantity)
	if len(qs) != 1 {
		return desk.AskBack("What is the smallest step your scale shows? For example: house scale 1 g"), nil
	}
	q := qs[0].Value.(phrase.Quantity)
	if q.Unit.Dim != measure.Mass || q.Top != nil {
		return desk.AskBack("The step of a scale is a weight, for example 1 g or 0.1 oz."), nil
	}
	grams := q.Float()
	if grams < 0.01 || grams > 100 {
		return desk.Refuse("A kitchen scale steps by 0.01 g to 100 g. For example: house scale 1 g"), nil
	}
	if ounces := q.Unit == measure.Ounce; ounces != req.House.US {
		return desk.AskBack("That is another system than the household weighs in. Say for example: house scale "+stepText(measure.DefaultScale(req.Scale().System)),
			desk.Button("house units us"), desk.Button("house units metric")), nil
	}
	step := grams
	if req.House.US {
		step = grams / measure.GramsPerOunce
	}
	text := strconv.FormatFloat(step, 'f', -1, 64)
	return set(req, storage.SetScale, text, "the scale steps by "+stepText(measure.Scale{System: req.Scale().System, Step: step}))
}

// setPlace reads latitude and longitude in degrees: 57.2 -3.7, or 57.2 N 3.7 W.
func setPlace(req *desk.Request) (desk.Reply, error) {
	var v []float64
	for _, s := range req.Reading.Of(phrase.KindNumber) {
		f, _ := s.Value.(*big.Rat).Float64()
		v = append(v, f)
	}
	for i, t := range req.Reading.Tokens {
		if len(v) < 2 || i == 0 {
			continue
		}
		switch t.Low {
		case "s":
			v[0] = -abs(v[0])
		case "w":
			v[1] = -abs(v[1])
		}
	}
	if len(v) != 2 {
		return desk.AskBack("Where? Latitude and longitude in degrees, for example: house at 57.2 -3.7"), nil
	}
	if abs(v[0]) > 90 || abs(v[1]) > 180 {
		return desk.Refuse("Latitude runs from -90 to 90 and longitude from -180 to 180. For example: house at 57.2 -3.7"), nil
	}
	text := strconv.FormatFloat(v[0], 'f', -1, 64) + " " + strconv.FormatFloat(v[1], 'f', -1, 64)
	return set(req, storage.SetPlace, text, "the place is "+text)
}

func abs(f float64) float64 { return max(f, -f) }

// clocks reads the times of a span or of the rounds, in order. An hour without
// am or pm is the one on a 24-hour clock.
func clocks(req *desk.Request) []storage.Minutes {
	var out []storage.Minutes
	for _, s := range req.Reading.Of(phrase.KindClock) {
		c := s.Value.(phrase.Clock)
		out = append(out, storage.Minutes(c.Hour*60+c.Minute))
	}
	return out
}

func bad(req *desk.Request) (desk.Reply, bool) {
	if b := req.Reading.Of(phrase.KindBad); len(b) > 0 {
		return desk.Refuse(b[0].Value.(string) + " Nothing was changed."), true
	}
	return desk.Reply{}, false
}

func setSpan(key, name, example string) func(*desk.Request) (desk.Reply, error) {
	return func(req *desk.Request) (desk.Reply, error) {
		if reply, is := bad(req); is {
			return reply, nil
		}
		words := phrase.Words(rest(req))
		if slices.Contains(words, "off") || slices.Contains(words, "none") {
			return set(req, key, "off", name+" hours are off")
		}
		m := clocks(req)
		if len(m) != 2 || m[0] == m[1] {
			return desk.AskBack("From when until when? For example: " + example), nil
		}
		s := storage.Span{On: true, From: m[0], To: m[1], Weekdays: slices.Contains(words, "weekdays") || slices.Contains(words, "weekday")}
		return set(req, key, s.String(), name+" hours are "+s.String())
	}
}

func setRounds(req *desk.Request) (desk.Reply, error) {
	if reply, is := bad(req); is {
		return reply, nil
	}
	m := clocks(req)
	if len(m) != 2 || m[0] >= m[1] {
		return desk.AskBack("A morning and an afternoon time, for example: house rounds 07:00 16:00"), nil
	}
	said := fmt.Sprintf("the rounds are at %s and %s", m[0], m[1])
	reply, err := set(req, storage.SetMorning, m[0].String(), said)
	if err != nil {
		return reply, err
	}
	if err := req.Tx.Set(req.House.ID, storage.SetAfternoon, m[1].String()); err != nil {
		return reply, err
	}
	return reply, resettle(req)
}

// resettle lets the bells follow a change of zone or rounds.
func resettle(req *desk.Request) error {
	is, err := req.Tx.Household(req.House.ID)
	if err != nil {
		return err
	}
	return reminders.Resettle(req.Tx, req.House, is, req.Now)
}

// setEvening sets when what is left over of the day is looked at.
func setEvening(req *desk.Request) (desk.Reply, error) {
	if reply, is := bad(req); is {
		return reply, nil
	}
	if words := phrase.Words(rest(req)); slices.Contains(words, "off") || slices.Contains(words, "none") {
		return set(req, storage.SetEvening, "off", "there is no evening look")
	}
	m := clocks(req)
	if len(m) != 1 {
		return desk.AskBack("At what time is the evening look? For example: house evening 19:30, or house evening off"), nil
	}
	at := m[0]
	if s := req.Reading.Of(phrase.KindClock)[0].Value.(phrase.Clock); s.Open && s.Hour < 12 {
		at += 12 * 60
	}
	return set(req, storage.SetEvening, at.String(), "the evening look is at "+at.String())
}

// setAgain sets how a ring is said again while nobody answers.
func setAgain(req *desk.Request) (desk.Reply, error) {
	words := phrase.Words(rest(req))
	in := func(all ...string) bool {
		return slices.ContainsFunc(all, func(w string) bool { return slices.Contains(words, w) })
	}
	l := reminders.UsualLadder
	times := req.Reading.Of(phrase.KindTimes)
	switch d := req.Reading.Of(phrase.KindDuration); {
	case in("never", "off", "once"):
		l = reminders.Ladder{Never: true}
	case in("rounds", "round") && len(d) == 0:
		l = reminders.Ladder{}
	case len(d) == 1:
		l.Wait = d[0].Value.(time.Duration)
		if len(times) > 0 {
			l.Times = times[0].Value.(int)
		}
	case !in("usual"):
		return desk.AskBack("After how long is a ring said again? For example: house again 10 min 3 times, house again rounds, house again usual"), nil
	}
	if l.Times > 20 || l.Times > 0 && (l.Wait < time.Minute || l.Wait > 24*time.Hour) {
		return desk.Refuse("At least a minute apart and at most 20 times. For example: house again 10 min 3 times"), nil
	}
	return set(req, storage.SetAgain, l.String(), "an unanswered ring is said "+l.Say())
}
