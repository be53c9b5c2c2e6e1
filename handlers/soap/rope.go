package soap

import (
	"fmt"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// firstClearAsk is when the keepers are first asked whether a room is clear;
// from then on every ten minutes.
const firstClearAsk = 30 * time.Minute

// closeRoom ropes a room off: a fixed entry of the day book, a bell that never
// gives up, and a notice to the household.
func closeRoom(req *desk.Request, room string) error {
	if err := req.Record(storage.Entry{Kind: "rope", About: "rope:" + room, Text: "roped off the " + room, Fixed: true}); err != nil {
		return err
	}
	bell, err := req.Tx.AddBell(storage.Bell{
		Household: req.House.ID, Title: "the " + room + " is roped off", Whom: reminders.Keepers, Next: req.Now.Add(firstClearAsk),
		Safety: true, Useful: reminders.UsefulEver, Subject: "rope:" + room, Why: "lye is open", Made: req.Now,
		Hint: "Say all clear when the lye is put away, the mould covered and out of reach, and the tools washed.",
	})
	if err != nil {
		return err
	}
	if err := req.Tx.RopeOff(req.House.ID, storage.Rope{Room: room, Since: req.Now, Bell: bell.ID}); err != nil {
		return err
	}
	return req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice,
		Head: fmt.Sprintf("The %s is roped off: lye is open. Children and animals stay out until a keeper says all clear.", room),
	})
}

// rope ropes a room off by itself.
func rope(req *desk.Request) (desk.Reply, error) {
	room := roomSaid(req)
	if room == "" {
		return desk.Reply{}, desk.ErrSilent
	}
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	for _, r := range roped {
		if r.Room == room {
			return desk.Answer(fmt.Sprintf("The %s is roped off already, since %s.", room, req.Say(r.Since))), nil
		}
	}
	if err := closeRoom(req, room); err != nil {
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

// knownRoom returns the room that a line names.
func knownRoom(req *desk.Request, otherwise string) string {
	for _, t := range req.Reading.Tokens {
		if room := rooms[t.Low]; room != "" {
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

// allClear opens the rooms that are roped off. Only a keeper's word counts.
func allClear(req *desk.Request) (desk.Reply, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(roped) == 0 {
		if !req.Direct {
			return desk.Reply{}, desk.ErrSilent
		}
		return desk.Answer("Nothing is roped off."), nil
	}
	if !req.TypedBy.Keeper || req.Who.ID != req.TypedBy.ID {
		return desk.Refuse("Only a keeper can say all clear: "+req.Keepers()+".", "Until then the room stays shut."), nil
	}
	var rooms []string
	for _, r := range roped {
		if err := openRoom(req, r); err != nil {
			return desk.Reply{}, err
		}
		rooms = append(rooms, r.Room)
	}
	if err := endLyeBells(req); err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer("Noted: all clear in the " + desk.List(rooms) + "."), nil
}

func openRoom(req *desk.Request, r storage.Rope) error {
	if err := req.Record(storage.Entry{Kind: "rope", About: "rope:" + r.Room, Text: "all clear in the " + r.Room, Fixed: true}); err != nil {
		return err
	}
	if err := req.Tx.Clear(r.ID, req.Now); err != nil {
		return err
	}
	if err := req.Tx.StopBell(r.Bell, req.Now); err != nil {
		return err
	}
	return req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("All clear in the %s, says %s.", r.Room, req.TypedBy.Name),
	})
}

// ropeAnswered is a rope's ring answered done: a keeper's done is all clear.
func ropeAnswered(req *desk.Request, bell storage.Bell, _ time.Time) ([]string, error) {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, r := range roped {
		if r.Bell != bell.ID {
			continue
		}
		if len(roped) == 1 {
			if err := endLyeBells(req); err != nil {
				return nil, err
			}
		}
		return nil, openRoom(req, r)
	}
	return nil, nil
}
