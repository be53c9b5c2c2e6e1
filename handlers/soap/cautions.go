package soap

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/storage"
)

// cautions are printed with every card. Sources: the household guidance on lye
// in the soap sheet, part 9.1; first aid as MedlinePlus 002487, the NIOSH Pocket
// Guide and a college chemical first-aid page have it: water only, for a long time.
var cautions = []string{
	"Lye into cold water, a little at a time, stirring. Never water onto lye.",
	"Sealed goggles, chemical gloves, long sleeves, closed shoes, until all is washed. Open window or outdoors.",
	"Children and animals out of the room until all clear.",
	"Stainless steel, or thick plastic marked 5 or 2. No aluminium, zinc, tin or copper, no glass, no drink bottle.",
	"Splash: running water at once. Skin 15 minutes or more; eyes 30 minutes and on to hospital. Never vinegar or any acid. All of it: help burn",
}

// burn is first aid, in full. It is not shortened to fit a screen.
func burn(req *desk.Request) (desk.Reply, error) {
	reply := desk.Answer("Lye burn: running water, now. Call your emergency number (112; 999 UK; 911 US and Canada; 000 Australia; 111 New Zealand).")
	if req.House.Emergency != "" {
		reply.Head = "Lye burn: running water, now. Call " + req.House.Emergency + "."
	}
	if breathesIll(req, burnWords(req)) {
		reply.Head = strings.Replace(reply.Head, "Lye burn: running water, now.", "Fresh air, now, and sit upright; on skin or in an eye, running water.", 1)
	}
	reply.Lines = []string{
		"EYES: rinse at once with plenty of lukewarm running water, lids held wide open, from the nose outward, under both lids. " +
			"Contact lenses out while rinsing. At least 15 minutes; for lye go on for 30 minutes and more, all the way to hospital. Always an emergency, even if it does not hurt.",
		"SKIN: brush dry grains off with a dry cloth or a gloved hand, then running water at once, at least 15 minutes, up to 60 while it feels slippery or sore. " +
			"Clothes, shoes and jewellery off under the water. Do not scrub. A doctor for any blister, for face, hands or genitals, and for anything larger than a palm.",
		"SWALLOWED: call poison control or the emergency number now (United States 1-800-222-1222). Rinse the mouth. Do not make the person vomit. " +
			"Sips of water or milk only if awake, able to swallow, and poison control does not forbid it.",
		"BREATHED IN: fresh air, sit upright. Call for help if coughing, hoarse or short of breath.",
		"NO vinegar, lemon juice or other acid on skin, in eyes or by mouth.",
		"Take the lye container or its label along.",
	}
	reply.Cautions = []string{"I am not a medical service. Their word goes before mine."}
	closed, err := ropeSpill(req)
	if err != nil {
		return reply, err
	}
	if len(closed) > 0 {
		reply.Lines = slices.Concat(closed[:1], reply.Lines, closed[1:])
	}
	if len(closed) > 0 && !onSomebody(req) { // a spill, of which all have been told
		return reply, nil
	}
	return reply, callOthers(req)
}

// callOthers tells the household at once that somebody is hurt by lye, whoever that is:
// hands under water type no second line. Who only looks the page up while no lye is open
// calls nobody.
func callOthers(req *desk.Request) error {
	roped, err := req.Tx.Roped(req.House.ID)
	if err != nil || len(roped) == 0 && !criesForHelp(req) {
		return err
	}
	if !slices.ContainsFunc(req.People, func(p storage.Person) bool { return p.ID != req.TypedBy.ID && !p.Gone && !p.Child(req.Now) }) {
		return nil
	}
	who := req.TypedBy.Name
	if who == "" {
		who = "somebody"
	}
	hurt, first := "lye burn", "running water at once"
	if breathesIll(req, burnWords(req)) {
		hurt, first = "lye fumes or faint", "get whoever it is into fresh air at once"
	}
	return req.Tx.Post(req.House.ID, req.Inbox, storage.Message{
		At: req.Now, Kind: storage.KindNotice, Head: fmt.Sprintf("HELP, %s, says %s: %s", hurt, who, desk.Quote(req.Text)),
		Lines: []string{"Adults: go there now, " + first + ", and call for help. Children: stay out, and fetch an adult. First aid in full: help burn"},
	})
}
