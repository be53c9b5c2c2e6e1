package soap

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// firstClearAsk is when the keepers are first asked whether a room is clear;
// from then on every ten minutes.
const firstClearAsk = 30 * time.Minute

func ropeAsks() []desk.Ask {
	closed := []string{"rope off the kitchen"}
	return append([]desk.Ask{
		{
			Name: "rope", Command: "rope", Adult: true, Help: "close a room to children while lye is open",
			Forms: []string{"^rope off", "^rope * off$", "^rope * off again$", "^roped off", "^rope"}, Fill: []string{"room", "it", "again"}, Doubt: true,
			Examples: []desk.Example{{Line: "rope off the kitchen"}, {Line: "rope off"}, {Line: "/rope off the shed"}},
			Plain:    func(req *desk.Request) bool { return req.Mentions("off") && roomSaid(req) != "" },
			Do:       rope,
		},
		{
			Name: "allclear", Command: "allclear", Text: true, Help: "a keeper's word that a roped-off room is safe",
			Forms:    []string{"^allclear", "^all clear", "* clear"},
			Examples: []desk.Example{{Setup: closed, Line: "all clear"}, {Setup: closed, Line: "/allclear"}, {Setup: []string{"rope off the shed"}, Line: "ok all clear now"}},
			Plain:    plainClear, Strict: true, Do: allClear,
		},
		notClearAsk(), animalAsk(), comesAsk(),
	}, append(ropedAsks(), goingInAsk())...)
}

// ropeOf is what entries and the bell of a closed room are about.
func ropeOf(room string) string { return "rope:" + room }

// roomOf is the room that an entry is about.
func roomOf(e storage.Entry) string { return strings.TrimPrefix(e.About, ropeOf("")) }

// clearIn begins the entry of an all clear.
const clearIn = "all clear in the "

// closeRoom ropes a room off: a fixed entry of the day book, a bell that never
// gives up, and a notice to the household with who is at home.
func closeRoom(req *desk.Request, room, why string) error {
	if err := req.Record(storage.Entry{Kind: "rope", About: ropeOf(room), Text: "roped off the " + room, Fixed: true}); err != nil {
		return err
	}
	bell, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "look whether the roped-off " + room + " is clear", Whom: reminders.Keepers, Next: req.Now.Add(firstClearAsk),
		Safety: true, Useful: reminders.UsefulEver, Subject: ropeOf(room), Why: "lye is open", Made: req.Now,
		Hint: "Say all clear when the lye is put away, the mould covered and out of reach, and the tools washed.",
	})
	if err != nil {
		return err
	}
	if err := req.Tx.RopeOff(req.House.ID, storage.Rope{Room: room, Since: req.Now, Bell: bell.ID}); err != nil {
		return err
	}
	keep, err := keepOut(req, room)
	if err != nil {
		return err
	}
	return req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Lines: keep,
		Head: fmt.Sprintf("The %s is roped off%s. Children and animals stay out until a keeper says all clear.", room, why),
	})
}

// whyLye is why a room is roped off as a rule, see closeRoom.
const whyLye = ": lye is open"

// ropeRoom ropes a room off unless it is already.
func ropeRoom(req *desk.Request, room, why string) error {
	_, is, err := ropeIn(req, room)
	if err != nil || is {
		return err
	}
	return closeRoom(req, room, why)
}

// ropeIn returns the rope of a room that is closed.
func ropeIn(req *desk.Request, room string) (storage.Rope, bool, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return storage.Rope{}, false, err
	}
	for _, r := range roped {
		if r.Room == room {
			return r, true, nil
		}
	}
	return storage.Rope{}, false, nil
}

// keepOut is the line that tells who is at home and has to be kept out of a room, none
// where nobody is or nothing is known.
func keepOut(req *desk.Request, room string) ([]string, error) {
	home, err := homeWhile(req)
	if err != nil || len(home) == 0 {
		return nil, err
	}
	return []string{fmt.Sprintf("%s: keep %s out of the %s until the all clear.", desk.Upper(req.SayAtHome(home)), desk.Them(namesAtHome(home)), room)}, nil
}

// homeWhile are the children who are at home, or come home, while lye is worked with.
func homeWhile(req *desk.Request) ([]desk.AtHome, error) {
	return req.Roster.AtHome(req, req.After(req.Wall, pourTakes))
}

func namesAtHome(home []desk.AtHome) (out []string) {
	for _, h := range home {
		out = append(out, h.Child.Name)
	}
	return out
}

// rope ropes a room off by itself.
func rope(req *desk.Request) (desk.Reply, error) {
	room := roomSaid(req)
	if room == "" {
		return desk.Reply{}, desk.ErrSilent
	}
	r, is, err := ropeIn(req, room)
	if err != nil {
		return desk.Reply{}, err
	}
	if is {
		return desk.Answer(fmt.Sprintf("The %s is roped off already, since %s.", room, req.Say(r.Since))), nil
	}
	if err := closeRoom(req, room, whyLye); err != nil {
		return desk.Reply{}, err
	}
	reply := desk.Answer(fmt.Sprintf("The %s is roped off. The keepers are asked every 10 minutes from %s until one says all clear.", room, req.WallOf(req.Now.Add(firstClearAsk)).Format("15:04")))
	reply.Buttons = []storage.Button{desk.Labelled("All clear", "allclear")}
	return reply, nil
}

// rooms are the words for rooms.
var rooms = map[string]string{
	"kitchen": "kitchen", "scullery": "scullery", "workshop": "workshop", "shed": "shed", "garage": "garage", "porch": "porch",
	"utility": "utility room", "laundry": "laundry", "barn": "barn", "dairy": "dairy", "yard": "yard", "bathroom": "bathroom",
}

// roomNames are those words alone.
var roomNames = func() (out []string) {
	for w := range rooms {
		out = append(out, w)
	}
	slices.Sort(out)
	return out
}()

// knownRoom returns the room that a line names.
func knownRoom(req *desk.Request, otherwise string) string {
	for _, t := range req.Reading.Tokens {
		if room := rooms[strings.TrimSuffix(t.Low, "'s")]; room != "" {
			return room
		}
	}
	return otherwise
}

// roomSaid returns the room named, the kitchen when none is.
func roomSaid(req *desk.Request) string {
	if room := knownRoom(req, ""); room != "" {
		return room
	}
	if len(req.Reading.Unknown) > 0 {
		if !req.Direct {
			return ""
		}
		return strings.ToLower(desk.UnknownWords(req.Reading.Unknown))
	}
	return "kitchen"
}
