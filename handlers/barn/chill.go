package barn

import (
	"fmt"
	"math"
	"math/big"
	"slices"
	"strings"

	"yardbell/calc/exposure"
	"yardbell/calc/measure"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

func chillAsks() []desk.Ask {
	kinds := []phrase.Kind{phrase.KindQuantity, phrase.KindNumber, phrase.KindShare}
	return []desk.Ask{
		{
			Name: "chill", Command: "chill", Keep: true, Text: true, Question: true, Help: "cold and wind, or heat and damp: whether and how long the children should be out",
			Forms: []string{"^chill|chil|chll|windchill", "^wind chill", "^thi|humidex", "too cold|hot", "^heat", "^heat index", "can|should|may * go|be|play|work out|outside|outdoors", "how long * out|outside|outdoors"}, Kinds: kinds, Lists: []string{"people"},
			Examples: []desk.Example{{Line: "chill -6 wind 30"}, {Line: "can the children go out, -10 C and 30 km/h"}, {Line: "heat 32 C 70% humidity"}},
			Plain:    plainChill, Do: chill,
		},
	}
}

// weatherWords belong to a question about the weather outdoors.
var weatherWords = []string{
	"chill", "windchill", "thi", "humidex", "wind", "windy", "pigs", "animals", "stock", "muck", "collect", "outdoors", "walk", "heat", "index", "too", "cold", "hot", "is", "it", "it's", "its", "can", "should", "may", "could", "for", "to", "go", "be", "play", "work", "out", "outside", "outdoors", "how", "long", "do", "with", "at", "and", "in", "km", "h", "kmh", "kph", "mph", "an", "hour", "per", "knots", "kn", "m", "s", "degrees", "degree", "minus", "humidity", "humid", "rh", "percent",
	"eggs", "hens", "chores", "goats", "milking", "school", "there", "they", "kids", "children", "wet", "sun", "sunny", "today", "now", "when", "shade", "air", "what", "about", "feel", "feels", "like", "does", "of", "gusting", "gusts", "c", "f", "a", "the", "sledging", "sledding", "stay", "morning", "tonight", "this", "are", "feed", "clothes", "soaked", "rain", "raining",
}

func plainChill(req *desk.Request) bool {
	if len(strangers(req, weatherWords...)) > 0 {
		return false
	}
	figures := len(req.Reading.Of(phrase.KindQuantity)) + len(req.Reading.Of(phrase.KindNumber))
	switch req.Form {
	case "^chill|chil|chll|windchill", "^wind chill", "^heat index", "^thi|humidex":
		return figures > 0 || len(req.Reading.Tokens) <= 2
	case "^heat":
		return len(req.Reading.Of(phrase.KindShare)) > 0 || hasWord(req, "humidity") || slices.ContainsFunc(req.Reading.Spans, isTemperature)
	case "too cold|hot":
		return figures > 0 || hasWord(req, "kids", "children") || len(req.Reading.Terms("people")) > 0
	}
	return figures > 0
}

func isTemperature(s phrase.Span) bool {
	q, is := s.Value.(phrase.Quantity)
	return is && q.Unit.Dim == measure.Temperature
}

// weather is what a line tells of it, in the units in which it is answered.
type weather struct {
	temp, wind, humidity          float64
	hasTemp, hasWind, hasHumidity bool
	units                         exposure.Units
}

// kmh is a mile an hour in kilometres an hour.
const kmh = 1.609344

// weatherSaid reads a temperature, a wind and a humidity.
func weatherSaid(req *desk.Request) weather {
	w := weather{units: exposure.Metric}
	if req.House.US {
		w.units = exposure.US
	}
	for _, s := range req.Reading.Spans {
		if isTemperature(s) && !w.hasTemp {
			q := s.Value.(phrase.Quantity)
			w.units = exposure.Metric
			if q.Unit == measure.Fahrenheit {
				w.units = exposure.US
			}
			w.temp, w.hasTemp = ratOf(q.Amount), true
			if s.First > 0 && (word(req, s.First-1) == "minus" || word(req, s.First-1) == "-") && w.temp > 0 {
				w.temp = -w.temp
			}
		}
	}
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Quantity:
			if (v.Unit == measure.Cup || v.Unit == measure.Metre) && !isTemperature(s) {
				w.number(req, s, ratOf(v.Amount))
			}
		case *big.Rat:
			switch {
			case s.Kind == phrase.KindShare:
				w.humidity, w.hasHumidity = 100*ratOf(v), true
			case s.Kind == phrase.KindNumber:
				w.number(req, s, ratOf(v))
			}
		}
	}
	return w
}

// number takes a figure without a unit of its own: a wind, a humidity, a temperature.
func (w *weather) number(req *desk.Request, s phrase.Span, v float64) {
	next, before := word(req, s.Past), word(req, s.First-1)
	toUnits := func(kilometres bool) float64 {
		switch {
		case kilometres && w.units == exposure.US:
			return v / kmh
		case !kilometres && w.units == exposure.Metric:
			return v * kmh
		}
		return v
	}
	switch {
	case next == "mph" || next == "miles" || next == "mile":
		w.wind, w.hasWind = toUnits(false), true
	case next == "km" || next == "kmh" || next == "kph" || strings.HasPrefix(next, "kilomet"):
		w.wind, w.hasWind = toUnits(true), true
	case next == "knots" || next == "kn" || next == "kt":
		v *= 1.852
		w.wind, w.hasWind = toUnits(true), true
	case strings.HasSuffix(strings.ToLower(s.Text), "m") && next == "/" || next == "m" && word(req, s.Past+1) == "/":
		v *= 3.6
		w.wind, w.hasWind = toUnits(true), true
	case before == "humidity" || before == "rh" || next == "humidity" || before == "is" && word(req, s.First-2) == "humidity":
		w.humidity, w.hasHumidity = v, true
	case before == "wind" || next == "wind" && w.hasTemp || before == "is" && word(req, s.First-2) == "wind" || before == "gusting":
		w.wind, w.hasWind = v, true
	case strings.HasSuffix(strings.ToLower(s.Text), "c") && !w.hasTemp:
		w.temp, w.hasTemp, w.units = v, true, exposure.Metric
	case !w.hasTemp:
		w.temp, w.hasTemp = v, true
	case !w.hasWind && !w.hasHumidity && hasWord(req, "heat", "hot"):
		w.humidity, w.hasHumidity = v, true
	case !w.hasWind:
		w.wind, w.hasWind = v, true
	}
}

// chill says what the weather means for the children.
func chill(req *desk.Request) (desk.Reply, error) {
	w := weatherSaid(req)
	hot := w.hasHumidity || hasWord(req, "heat", "hot", "thi")
	switch {
	case !w.hasTemp && hot:
		return desk.AskBack("How warm, and how humid? For example: heat 32 C 70%"), nil
	case !w.hasTemp:
		return desk.AskBack("How cold, and how much wind? For example: " + chillExample(req)), nil
	case hot && !w.hasHumidity:
		return desk.AskBack("How humid is it? For example: heat "+w.degrees(w.temp)+" 70%", desk.Labelled("50%", "heat "+w.degrees(w.temp)+" 50%"), desk.Labelled("80%", "heat "+w.degrees(w.temp)+" 80%")), nil
	case hot:
		return heat(req, w)
	case !w.hasWind:
		return desk.AskBack("How much wind? For example: "+chillExample(req), desk.Labelled("No wind", "chill "+w.degrees(w.temp)+" wind 0"), desk.Labelled("Fresh, 30 km/h", "chill "+w.degrees(w.temp)+" 30 km/h")), nil
	}
	c, err := exposure.WindChill(w.temp, w.wind, w.units)
	if err != nil || w.wind > w.most() {
		return desk.AskBack(fmt.Sprintf("%s with %s of wind cannot be. Say it again: %s", w.degrees(w.temp), w.speed(), chillExample(req))), nil
	}
	a := c.Child(hasWord(req, "wet", "soaked", "rain", "raining"))
	head := fmt.Sprintf("%s with %s of wind feels like %s.", w.degrees(w.temp), w.speed(), w.degrees(float64(c.Rounded())))
	if !c.Applies {
		head = fmt.Sprintf("%s with %s of wind: no wind chill to speak of, it feels like %s.", w.degrees(w.temp), w.speed(), w.degrees(float64(c.Rounded())))
	}
	out := desk.Answer(head)
	advise(&out, a)
	out.Assumed = []string{"the wind as forecasts give it, 10 m above open ground; wind chill of the US and Canadian weather services, 2001"}
	return out, nil
}

// most wind in which anybody asks: a hurricane.
func (w weather) most() float64 {
	if w.units == exposure.US {
		return 200 / kmh
	}
	return 200
}

func chillExample(req *desk.Request) string {
	if req.House.US {
		return "chill 20 F 15 mph"
	}
	return "chill -6 wind 30"
}

// advise puts what the weather means into a reply: first aid goes below.
func advise(out *desk.Reply, a exposure.Advice) {
	head := ""
	switch a.Out {
	case exposure.Breaks:
		head = fmt.Sprintf("Children: %d min at a time, then in.", a.Minutes)
	case exposure.StayIn:
		head = "Children: stay in."
	case exposure.Essentials:
		head = "Nobody out alone; children stay in."
	}
	if head != "" {
		out.Lines = append(out.Lines, head)
	}
	first := []string{exposure.ColdFirstAid().Text, exposure.HeatFirstAid().Text}
	for _, l := range a.Lines {
		if slices.Contains(first, l.Text) {
			out.Cautions = append(out.Cautions, l.Text)
			continue
		}
		text := l.Text
		if l.Source != "" {
			text += " (" + l.Source + ")"
		}
		out.Lines = append(out.Lines, text)
	}
}

func heat(req *desk.Request, w weather) (desk.Reply, error) {
	h, err := exposure.HeatIndex(w.temp, w.humidity, w.units)
	if err != nil {
		return desk.AskBack(fmt.Sprintf("%s at %.0f%% humidity cannot be. Say it again: heat 32 C 70%%", w.degrees(w.temp), w.humidity)), nil //nolint:nilerr // said to the person
	}
	out := desk.Answer(fmt.Sprintf("%s at %.0f%% humidity feels like %s.", w.degrees(w.temp), w.humidity, w.degrees(float64(h.Rounded()))))
	advise(&out, h.Child(hasWord(req, "sun", "sunny")))
	b, err := openBook(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if slices.ContainsFunc(b.alive(), func(s storage.Herd) bool { k, _ := beastNamed(s.Kind); return k.family == "cow" }) {
		air := w.temp
		if w.units == exposure.US {
			air = (w.temp - 32) / 1.8
		}
		if thi, err := exposure.THI(air, w.humidity); err == nil && exposure.StressOf(thi) != exposure.NoStress {
			out.Lines = append(out.Lines, fmt.Sprintf("Cattle: index %.0f, %s.", thi, exposure.StressOf(thi)))
		}
	}
	out.Assumed = []string{"in the shade; heat index of the US National Weather Service"}
	return out, nil
}

// degrees writes a temperature in the units of the weather.
func (w weather) degrees(t float64) string {
	text := fmt.Sprintf("%.4g", t)
	if math.Abs(t-math.Round(t)) < 1e-9 {
		text = fmt.Sprintf("%.0f", math.Round(t)+0)
	}
	if w.units == exposure.US {
		return text + " F"
	}
	return text + " C"
}

func (w weather) speed() string {
	if w.units == exposure.US {
		return fmt.Sprintf("%.3g mph", w.wind)
	}
	return fmt.Sprintf("%.3g km/h", w.wind)
}
