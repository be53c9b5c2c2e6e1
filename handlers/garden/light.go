package garden

import (
	"fmt"
	"time"

	"yardbell/calc/daylight"
	"yardbell/handlers/desk"
)

func lightAsks() []desk.Ask {
	return []desk.Ask{{
		Name: "daylight", Command: "daylight", Question: true, Help: "how long the day is, when ten-hour days begin and end, which onions suit",
		Forms: []string{"^daylight", "^day length", "how long|many * day|daylight|light", "ten|10 hour|hours days", "which|what|kind onions|onion * us|suit|grow|class|type|here|latitude", "which|what * onions|onion * grow|for", "onion type|class"}, Kinds: dayed,
		Fill:     []string{"how", "long", "is", "the", "day", "daylight", "light", "it", "hours", "many", "of", "here", "today", "length", "on", "when", "do", "ten", "10", "hour", "days", "start", "end", "ends", "begin", "come", "back", "lose", "we", "which", "what", "kind", "type", "class", "onions", "onion", "suit", "suits", "grow", "us", "for", "our", "latitude", "should", "place"},
		Examples: []desk.Example{{Setup: []string{"house at 57.2 -3.7"}, Line: "daylight"}, {Setup: []string{"house at 57.2 -3.7"}, Line: "how long is the day on 21 June"}, {Setup: []string{"house at 57.2 -3.7"}, Line: "which onions for us"}},
		Plain:    func(req *desk.Request) bool { return len(req.Reading.Unknown) == 0 && !hasWord(req, "your", "you") }, Do: light,
	}}
}

// shortDay is the light below which leaves nearly stop growing (common practice).
const shortDay = 10

// light says how long the day is, when the ten-hour days are, and which onions suit.
func light(req *desk.Request) (desk.Reply, error) {
	lat, lon, ok := place(req)
	if !ok {
		return desk.AskBack("Where is your place? A keeper types it once: house at 57.2 -3.7, or sends its location."), nil
	}
	day := dayAsked(req)
	long, err := daylight.Length(lat, day)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("day length at %g: %w", lat, err)
	}
	tens, err := tenHours(req, lat, day)
	if err != nil {
		return desk.Reply{}, err
	}
	class, why, err := daylight.OnionClass(lat)
	if err != nil {
		return desk.Reply{}, fmt.Errorf("onions at %g: %w", lat, err)
	}
	onions := fmt.Sprintf("Onions: %s; %s.", class, why)
	out := desk.Answer(fmt.Sprintf("%s: %s of daylight.", sayDate(req, day), sayLong(long)))
	switch sun, err := daylight.SunOn(lat, lon, day); {
	case err != nil:
		return desk.Reply{}, fmt.Errorf("sunrise at %g %g: %w", lat, lon, err)
	case sun.Up:
		out.Lines = append(out.Lines, "The sun does not set.")
	case sun.Down:
		out.Lines = append(out.Lines, "The sun does not rise.")
	default:
		out.Lines = append(out.Lines, fmt.Sprintf("Sun up %s, down %s.", sun.Rise.In(req.House.Zone).Format("15:04"), sun.Set.In(req.House.Zone).Format("15:04")))
	}
	out.Lines = append(out.Lines, tens, onions)
	switch {
	case hasWord(req, "onions", "onion"):
		out.Head, out.Lines = onions, out.Lines[:len(out.Lines)-1]
	case hasWord(req, "ten", "10") && hasWord(req, "hour", "hours"):
		out.Head, out.Lines = tens, []string{out.Head, onions}
	}
	out.Assumed = []string{fmt.Sprintf("your place at %s, a flat horizon", req.House.Place)}
	return out, nil
}

func sayLong(d time.Duration) string {
	d = d.Round(time.Minute)
	return fmt.Sprintf("%d h %02d min", int(d.Hours()), int(d.Minutes())%60)
}

// tenHours says when the days are shorter than ten hours.
func tenHours(req *desk.Request, lat float64, day time.Time) (string, error) {
	runs, err := daylight.Short(lat, shortDay, day)
	if err != nil {
		return "", fmt.Errorf("short days at %g: %w", lat, err)
	}
	for _, r := range runs {
		if r.Last.Before(day) {
			continue
		}
		if !r.First.After(day) {
			return fmt.Sprintf("The days are shorter than 10 hours now, and leaves nearly stop growing; ten-hour days are back from %s.", sayDate(req, r.Last.AddDate(0, 0, 1))), nil
		}
		return fmt.Sprintf("The last ten-hour day is %s, the next one after it %s: leaves nearly stop growing between.", sayDate(req, r.First.AddDate(0, 0, -1)), sayDate(req, r.Last.AddDate(0, 0, 1))), nil
	}
	return "Every day of the year has ten hours of light or more.", nil
}
