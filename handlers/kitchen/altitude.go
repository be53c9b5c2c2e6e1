package kitchen

import (
	"fmt"
	"math/big"
	"strings"

	"yardbell/calc/measure"
	"yardbell/calc/safety"
	"yardbell/calc/scaling"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// height is a height above the sea that a line gives, in metres.
func height(req *desk.Request) (float64, bool) {
	for _, s := range req.Reading.Spans {
		switch v := s.Value.(type) {
		case phrase.Quantity:
			if v.Unit.Dim == measure.Length {
				return v.Float() / 100, true
			}
		case *big.Rat:
			if s.Kind == phrase.KindNumber && follows(req, s, "m", "metres", "meters") {
				f, _ := v.Float64()
				return f, true
			}
			if s.Kind == phrase.KindNumber && follows(req, s, "ft", "feet") {
				f, _ := v.Float64()
				return f * 0.3048, true
			}
		}
	}
	return 0, false
}

// sayHeight writes a height above the sea in the household's unit.
func sayHeight(req *desk.Request, m float64) string {
	if req.House.US {
		return fmt.Sprintf("%.0f ft", m/0.3048)
	}
	return fmt.Sprintf("%.0f m", m)
}

func boilsAt(req *desk.Request, c float64) string {
	if req.House.US {
		return fmt.Sprintf("%.0f F (%.1f C)", c*9/5+32, c)
	}
	return fmt.Sprintf("%.1f C (%.0f F)", c, c*9/5+32)
}

func boiling(req *desk.Request) (desk.Reply, error) {
	h, ok := height(req)
	if !ok {
		return desk.AskBack("At what height? For example: boiling point at 1500 m"), nil
	}
	c, err := scaling.Boiling(h)
	if err != nil {
		return desk.AskBack("A height from 0 to 5000 m, please."), nil //nolint:nilerr // said to the person
	}
	out := desk.Answer(fmt.Sprintf("At %s water boils at %s.", sayHeight(req, h), boilsAt(req, c)))
	if h > 600 {
		out.Lines = []string{"Braises and beans take about 5% longer for every 300 m (1000 ft) above 600 m (2000 ft) (common practice)."}
	}
	out.Assumed = []string{"the standard atmosphere; the weather moves it by half a degree"}
	return out, nil
}

// canning never gives a time: it names who does.
func canning(req *desk.Request) (desk.Reply, error) {
	out := desk.Answer("I give no times for canning or bottling.", safety.CanningRefer)
	if h, ok := height(req); ok {
		if g, err := safety.Canner(h); err == nil {
			out.Lines = append(out.Lines, fmt.Sprintf("At %s the guide's pressures are %d psi on a dial gauge, %d psi on a weighted one.", sayHeight(req, h), g.DialPSI, g.WeightedPSI))
		}
	}
	return out, nil
}

// aboutCanning reports that a question is one of canning or bottling: by its own words,
// or where jars, or a food of the larder that is processed, are boiled.
func aboutCanning(req *desk.Request) bool {
	if first := req.Reading.Tokens[0].Text; !strings.Contains(req.Text, "?") {
		if _, somebody := req.Person(first); somebody { // "Ivo runs the canner sunday" gives work out
			return false
		}
	}
	if req.Mentions("jars", "pressure", "bottle", "bottling", "bottled", "preserve", "canning", "canner", "processing", "process", "canned", "jarred") {
		return !req.Mentions("washing", "feed", "baby")
	}
	text := strings.ToLower(req.Text)
	return strings.Contains(text, "water bath") || strings.Contains(text, "safe to can ") || strings.Contains(text, "home can")
}
