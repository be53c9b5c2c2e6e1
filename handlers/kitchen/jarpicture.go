package kitchen

import (
	"errors"
	"fmt"

	"yardbell/calc/starter"
	"yardbell/handlers/desk"
	"yardbell/handlers/picture"
	"yardbell/reminders"
	"yardbell/storage"
)

// jarPicture draws the jar's own peaks: how long each would have been after a feed of
// 1:1:1 at 24 C, which makes cold and warm days alike, beside the jar's learnt pace.
func jarPicture(req *desk.Request) (desk.Reply, error) {
	logged, err := req.Tx.Peaks(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	m, err := model(req)
	if err != nil {
		return desk.Reply{}, err
	}
	even := starter.Ratio{Starter: 1, Flour: 1, Water: 1}
	usual, err := starter.Peak(even, evenC, starter.Usual)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("a usual jar: %w", err)
	}
	own, err := starter.Peak(even, evenC, m)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("this jar: %w", err)
	}
	var points []picture.Point
	first := reminders.Day(req.Wall)
	for _, p := range logged {
		r, ok := parseRatio(p.Ratio)
		if !ok {
			continue
		}
		expected, err := starter.Peak(r, p.Celsius, starter.Usual)
		if err != nil {
			continue
		}
		if len(points) == 0 {
			first = reminders.Day(req.WallOf(p.At))
		}
		days := req.WallOf(p.At).Sub(first).Hours() / 24
		points = append(points, picture.Point{Day: days, Value: p.Hours / expected.Likely * usual.Likely})
	}
	finding := paceFinding(own.Likely, usual.Likely)
	order, err := picture.Order(picture.Curve{
		Title: finding, XLabel: "days since " + reminders.SayDay(first, req.Wall, req.House.DayFirst), YLabel: fmt.Sprintf("hours to the peak, 1:1:1 at %s", sayTemp(req, evenC)),
		Points: points, Line: func(float64) float64 { return own.Likely }, To: lastDay(points) + 1,
	})
	if errors.Is(err, picture.ErrCurve) {
		return desk.AskBack("Two peaks at least make a picture. Tell me when it peaks: the jar peaked at 13:00"), nil
	}
	if err != nil {
		return desk.Reply{}, fmt.Errorf("picture of the jar: %w", err)
	}
	out := desk.Answer(finding+".", fmt.Sprintf("%s logged: 1:1:1 in %.1f hours at %s; a usual jar takes %.1f.", desk.Plural(len(points), "peak"), own.Likely, sayTemp(req, evenC), usual.Likely))
	out.Files = []storage.File{{Name: "jar.png", Type: "image/png", Drawing: order}}
	return out, nil
}

// evenC is the temperature at which jars are compared, in degrees Celsius.
const evenC = 24.0

// paceFinding says what a picture of the jar shows.
func paceFinding(own, usual float64) string {
	switch share := own / usual; {
	case share < 0.93:
		return fmt.Sprintf("The jar is quick: %.1f hours, a usual one %.1f", own, usual)
	case share > 1.07:
		return fmt.Sprintf("The jar is slow: %.1f hours, a usual one %.1f", own, usual)
	}
	return fmt.Sprintf("The jar keeps the usual pace: %.1f hours", own)
}

// lastDay is the day of the last of some points.
func lastDay(points []picture.Point) float64 {
	if len(points) == 0 {
		return 0
	}
	return points[len(points)-1].Day
}
