package garden

import (
	"fmt"
	"time"

	"yardbell/calc/frost"
	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
)

// fitLines say whether a crop ripens, unless the answer has said so, with what odds, and
// what would make it fit.
func fitLines(req *desk.Request, f frosts, p plant, now sowing.Frosts, a about) []string {
	c, err := sowing.Follow(p.Crop, now, a.begin, a.indoors)
	if err != nil {
		return nil // not begun that way: nothing to say
	}
	var out []string
	if !a.judged {
		out = append(out, fitLine(req, c))
	}
	out = append(out, odds(f, c)...)
	if text, ok := heat(req, f, p, a.begin); ok {
		out = append(out, text)
	}
	if c.Class != sowing.Comfortable {
		out = append(out, remedies(p, now, a.begin, a.indoors, c)...)
	}
	return out
}

func fitLine(req *desk.Request, c sowing.Course) string {
	switch c.Class {
	case sowing.Comfortable:
		return fmt.Sprintf("Ripens here: %s to spare before %s.", desk.Plural(c.Margin, "day"), sayDate(req, c.Limit))
	case sowing.Risky:
		return fmt.Sprintf("Risky here: only %s to spare before %s.", desk.Plural(c.Margin, "day"), sayDate(req, c.Limit))
	case sowing.QuickOnly:
		return fmt.Sprintf("Only quick varieties ripen here: the slow ones are %s late.", desk.Plural(-c.Margin, "day"))
	}
	return fmt.Sprintf("Does not ripen here: %s late at the best.", desk.Plural(-c.MarginQuick, "day"))
}

// odds says in how many of the weather file's years the first frost came late enough.
func odds(f frosts, c sowing.Course) []string {
	if f.normals == nil {
		return nil
	}
	grace := int(c.Limit.Sub(f.first.In(c.Limit.Year())).Hours() / 24)
	if grace < 0 || grace > 30 {
		return nil
	}
	early, late, of := 0, 0, 0
	for _, s := range f.normals.Seasons {
		of++
		if s.First.IsZero() {
			early, late = early+1, late+1
			continue
		}
		end := inYear(s.First, c.Limit).AddDate(0, 0, grace)
		if !end.Before(c.Early) {
			early++
		}
		if !end.Before(c.Late) {
			late++
		}
	}
	if of == 0 {
		return nil
	}
	if early == late {
		return []string{fmt.Sprintf("In %d of %d years of the weather file the frost came late enough.", late, of)}
	}
	return []string{fmt.Sprintf("In %d of %d years of the weather file the frost came late enough for the quick ones, in %d for the slow.", early, of, late)}
}

// inYear puts the date of a frost into the season of another day.
func inYear(first, like time.Time) time.Time {
	d := time.Date(like.Year(), first.Month(), first.Day(), 0, 0, 0, 0, time.UTC)
	if diff := d.Sub(like); diff > 183*24*time.Hour {
		return d.AddDate(-1, 0, 0)
	} else if diff < -183*24*time.Hour {
		return d.AddDate(1, 0, 0)
	}
	return d
}

// heat says in how many years the warmth reached what the crop needs, where that and
// the maxima are known.
func heat(req *desk.Request, f frosts, p plant, begin time.Time) (string, bool) {
	base, sum, _, ok := sowing.HeatNeed(p.table)
	if !ok || f.normals == nil || sum <= 0 {
		return "", false
	}
	series, _, ok, err := weather(req)
	if err != nil || !ok {
		return "", false
	}
	yes, of := series.Reached(*f.normals, frost.MonthDay{Month: begin.Month(), Day: begin.Day()}, base, upperHeat, sum)
	if of == 0 {
		return "", false
	}
	what := fmt.Sprintf("%.0f degree-days (over %.4g C)", sum, base)
	if req.House.US {
		what = fmt.Sprintf("%.0f degree-days (over %.0f F)", sum*9/5, base*9/5+32)
	}
	return fmt.Sprintf("Warmth: the %s that it takes were there before the frost in %d of %d years.", what, yes, of), true
}

// upperHeat is where more warmth does not help, in degrees Celsius.
const upperHeat = 30

// coverDays is what a cover is worth at either end of the season (common practice).
const coverDays = 7

// remedies are what would make a crop fit.
func remedies(p plant, now sowing.Frosts, begin time.Time, indoors bool, c sowing.Course) []string {
	var out []string
	n, err := sowing.LongestDays(p.Crop, now, begin, indoors, 0)
	if err == nil && n > 0 && n < p.MaturityMax {
		text := fmt.Sprintf("A variety of %d days or fewer would ripen", n)
		if n > 14 {
			text += fmt.Sprintf("; of %d or fewer with two weeks to spare", n-14)
		}
		out = append(out, text+".")
	}
	short := -c.Margin
	if short <= 0 {
		short = 14 - c.Margin
	}
	if !indoors && p.Method == sowing.Either {
		out = append(out, "Started indoors it gains the weeks before the last frost.")
	}
	if !indoors && p.Method == sowing.Direct && (p.Family == "Fabaceae" || p.Family == "Poaceae") {
		out = append(out, "It does not like being moved; two or three weeks in single pots gain about that much, less a week for the move.")
	}
	switch {
	case short <= 2*coverDays:
		out = append(out, fmt.Sprintf("A cover at both ends is worth one to two weeks each (common practice): it makes up the %s.", desk.Plural(short, "day")))
	case short <= 28:
		out = append(out, "A cover at both ends is worth one to two weeks each (common practice): perhaps enough.")
	}
	return out
}
