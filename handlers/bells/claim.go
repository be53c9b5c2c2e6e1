package bells

import (
	"fmt"
	"slices"

	"yardbell/handlers/desk"
	"yardbell/reminders"
	"yardbell/storage"
)

// A chore for whoever is free rings for several, and is whoever's who says first
// that they are on it.

// shared reports a ring of a chore that waits for one of several.
func shared(req *desk.Request, m meant) bool {
	return reminders.IsChore(m.bell) && isFor(req, m) && len(reminders.Expand(m.ring.Whom, req.People, req.Now)) > 1
}

// claimed answers somebody who is on a chore that another is on already.
func claimed(req *desk.Request, m meant) (desk.Reply, bool) {
	if !reminders.IsChore(m.bell) || m.ring.Given != storage.GivenTaken || isFor(req, m) {
		return desk.Reply{}, false
	}
	before := reminders.Expand(m.ring.Giver, req.People, req.Now)
	if len(before) < 2 || !slices.ContainsFunc(before, func(p storage.Person) bool { return p.ID == req.Who.ID }) {
		return desk.Reply{}, false
	}
	has := reminders.SayWhom(m.ring.Whom, req.People, req.Now)
	return desk.Answer(fmt.Sprintf("%s was first and has it: %s. Thank you, %s.", has, m.bell.Title, req.Who.Name)), true
}

// claimedNow finds the chore that a plain "on it" comes too late for.
func claimedNow(req *desk.Request) (desk.Reply, bool, error) {
	open, err := openRings(req.Tx, req.House.ID)
	if err != nil {
		return desk.Reply{}, false, err
	}
	for _, m := range slices.Backward(open) {
		if reply, is := claimed(req, m); is && req.Now.Sub(m.ring.LastSaid) <= lastHours {
			return reply, true, nil
		}
	}
	return desk.Reply{}, false, nil
}

// ofChore sends a change of a chore's bell to the chore: the two must not part.
func ofChore(b storage.Bell) desk.Reply {
	return desk.AskBack(fmt.Sprintf("That bell is the chore's: %s. For example: move %s to 8, give %s to NAME, stop the %s chore", b.Title, b.Title, b.Title, b.Title), desk.Button("chores"))
}
