package soap

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// While a room is roped off, a hurt or a mishap is taken for lye though nobody names it:
// "splash in my eye", "Pim drank something", "its fuming", "it boiled over".

var (
	breathBad = strings.Fields("fumes faint fainted fainting dizzy woozy lightheaded choking coughing wheezing unconscious collapsed")
	breathRun = []string{"passed out", "light headed", "cant breathe", "can't breathe", "cannot breathe", "not breathing", "hard to breathe", "trouble breathing"}
	cantSee   = []string{"cant see", "can't see", "cannot see"}
	tender    = append(strings.Fields("mouth lip lips tongue face skin throat nose"), eyes...) // nothing else is said to be in or on them
	sore      = strings.Fields("red sore itch itches itching itchy watering slippery blister blisters blistered swollen")
	gotOn     = append(strings.Fields("got some something stuff white powder drop drops wet it"), splashed...)
	tried     = append([]string{"tasted", "tasting", "licking"}, swallowed...)
	unknownIs = strings.Fields("something stuff white powder powdery grains crystals flakes pearls beads batter soap mix liquid solution")
	vessels   = strings.Fields("it jug bucket that this from")
	pots      = strings.Fields("pot bowl tub tin bottle")
	overRuns  = []string{"boiled over", "boiling over", "boils over", "tipped over", "knocked over", "fell over", "foamed over", "foaming over", "bubbled over", "bubbling over", "spat", "erupted", "overflowed", "overflowing", "leaking", "leaked"}
	overFill  = strings.Fields("it its it's the a an all over everywhere on onto floor worktop table stove some has have had just oh no i i've we pot jug bucket bowl bottle soap batter mix mixture mould mold water out and is in here there help quick something somebody someone of down my whole lot kitchen boiled boiling boils tipped knocked fell foamed foaming bubbled bubbling spat erupted overflowed overflowing leaking leaked")
)

// longestMishap is how many words such a line has at the most.
const longestMishap = 12

// ropedNow reports that some room is roped off.
func ropedNow(req *desk.Request) bool {
	roped, err := req.Tx.Roped(req.House.ID)
	return err == nil && len(roped) > 0
}

// mishapNow reports such a line.
func mishapNow(req *desk.Request, words []string) bool {
	if len(words) > longestMishap || !ropedNow(req) {
		return false
	}
	if breathesIll(req, words) || hasRun(words, cantSee...) {
		return true
	}
	if isQuestion(req, words) || hasAny(words, calmly...) || hasAny(words, "nobody", "no", "if", "when") {
		return false
	}
	return tenderHit(words) || triedIt(words) || touchedIt(words) || spilledNow(req, words)
}

// breathesIll reports somebody who is faint or short of breath, or fumes. A person who fumes
// is angry.
func breathesIll(req *desk.Request, words []string) bool {
	angry := hasAny(words, "i", "i'm", "im", "about") || slices.ContainsFunc(words, func(w string) bool { _, is := req.Person(w); return is })
	return hasAny(words, breathBad...) || hasRun(words, breathRun...) || hasAny(words, "fuming") && !angry
}

// tenderHit reports "splash in my eye", "something on my hand", "my eyes are red".
func tenderHit(words []string) bool {
	for i, w := range words {
		if !slices.Contains(body, w) || i+1 < len(words) && slices.Contains(handGoods, words[i+1]) {
			continue
		}
		on := hasAny(words[max(i-3, 0):i], onto...)
		if on && (slices.Contains(tender, w) || hasAny(words[:i], gotOn...)) || hasAny(words, sore...) || hasAny(words, "splash", "splashed") {
			return true
		}
	}
	return false
}

// triedIt reports "Pim drank something", "Lise ate the white stuff", "I licked it".
func triedIt(words []string) bool {
	for i, w := range words {
		if !slices.Contains(tried, w) {
			continue
		}
		rest := words[i+1:]
		if hasAny(rest, unknownIs...) || w != "ate" && w != "eaten" && (len(rest) == 0 || hasAny(rest, vessels...)) {
			return true
		}
	}
	return false
}

// touchedIt reports "I touched the white stuff", "Pim put his hand in the pot".
func touchedIt(words []string) bool {
	with := hasAny(words, "touched", "touching") || hasAny(words, "hand", "hands", "finger", "fingers") && hasAny(words, "put", "stuck", "dipped")
	return with && (hasAny(words, unknownIs...) || hasAny(words, vessels...) || hasAny(words, pots...))
}

// spilledNow reports what was spilled or boiled over while a room is roped off, and nothing
// in the line says that it was something else.
func spilledNow(req *desk.Request, words []string) bool {
	return isSpill(words) && ropedNow(req) && onlyOf(req, words, overFill, spilled, lyeNamed)
}

// isSpill reports a word of something spilled, or that boiled over.
func isSpill(words []string) bool {
	return hasAny(words, spilled...) || hasRun(words, overRuns...)
}

// lyeOver reports lye that boiled over, whether or not a room is roped off.
func lyeOver(words []string) bool {
	return hasAny(words, lyeNamed...) && hasRun(words, overRuns...) && !hasAny(words, calmly...) && !hasAny(words, "if", "when")
}

// The animals that come into a house by themselves, and those that have to be named with the
// room: hens are in at night.
var (
	pets  = strings.Fields("cat cats kitten kittens dog dogs puppy puppies")
	stock = strings.Fields("hen hens chicken chickens goat goats kid sow pig pigs piglet piglets lamb lambs sheep ewe duck ducks goose geese rabbit rabbits")
)

func animalAsk() desk.Ask {
	return desk.Ask{
		Name: "roped", Command: "rope", Text: true, Help: "an animal is in a room that is roped off: told to all",
		Forms: []string{"got|is|ran in"}, Examples: []desk.Example{{Setup: []string{"rope off the kitchen"}, Line: "cat got in"}},
		Urgent: animalIn, Plain: never, Strict: true, Do: animalOut,
	}
}

// animalIn reports an animal in a room that is roped off.
func animalIn(req *desk.Request) bool {
	words, _ := spoken(req)
	if len(words) > longestMishap || !hasAny(words, pets...) && !hasAny(words, stock...) || isQuestion(req, words) || hasAny(words, calmly...) || hasAny(words, "if", "when", "nobody", "no", "out") {
		return false
	}
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 || !hasAny(words, movesIn...) {
		return false
	}
	into := slices.ContainsFunc(all, func(r storage.Rope) bool { return namesRoom(words, r) }) && hasAny(words, "in", "into", "inside")
	last := words[len(words)-1]
	within := last == "in" || last == "inside" || hasRun(words, "in there", "in here")
	return into || within && hasAny(words, pets...)
}

// animalOut has an animal fetched out, and tells all.
func animalOut(req *desk.Request) (desk.Reply, error) {
	all, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(all) == 0 {
		return desk.Reply{}, err
	}
	r := ropeSaid(burnWords(req), all)
	out := desk.Answer(fmt.Sprintf("Animals out of the %s, by a grown-up in gloves and shoes: lye may be open. All are told.", r.Room))
	if !req.Grown() {
		out.Head = fmt.Sprintf("Do not go in after it: lye may be open in the %s. Tell %s; all are told.", r.Room, req.Keepers())
	}
	out.Cautions = []string{"Anything wet or white on its coat or paws, or licked: call the vet at once."}
	return out, req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("An animal is in the %s while it is roped off: get it out. %s says: %s", r.Room, desk.Upper(speakerOf(req)), desk.Quote(req.Text)),
	})
}
