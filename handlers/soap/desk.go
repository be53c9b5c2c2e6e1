// Package soap is the soap desk: the weigh-out card, pouring, the rack and its
// bells, and the room that stays closed while lye is open.
package soap

import (
	"slices"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

var (
	amounts = []phrase.Kind{phrase.KindQuantity, phrase.KindShare, phrase.KindRatio, phrase.KindNumber}
	clocks  = []phrase.Kind{phrase.KindDate, phrase.KindClock, phrase.KindPart, phrase.KindAfter}
	ofBatch = []desk.Need{{Kind: phrase.KindThing}, {Kind: phrase.KindTerm, List: "batches"}}
	anyFat  = []desk.Need{{Kind: phrase.KindTerm, List: "fats"}, {Kind: phrase.KindQuantity}}
	soapy   = []string{"soap", "bars", "bar", "batch", "one", "another"}
)

// Desk returns the soap desk.
func Desk() desk.Desk {
	return desk.Desk{
		Name:  "soap",
		About: "lye cards, batches and their cure",
		Lists: map[string]desk.WordList{
			"fats":     fatsOf,
			"settings": desk.Fixed(settingList),
			"extras":   desk.Fixed(extraList),
			"heats":    desk.Fixed(heatList),
			"batches":  batchList,
		},
		Done:  map[string]func(*desk.Request, storage.Bell, time.Time) ([]string, error){"batch": answered, "rope": ropeAnswered},
		Jobs:  openJobs,
		Sheet: sheetParts,
		Asks:  slices.Concat(lyeAsks(), ownAsks(), mouldAsks(), barAsks(), coolingAsks(), pouringAsks(), batchAsks(), scrapAsks(), labelAsks(), outgoAsks(), rackAsks(), ropeAsks(), []desk.Ask{followUpAsk(), troubleAsk(), spillAsk()}),
	}
}

func lyeAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "lye", Command: "lye", Adult: true, Keep: true, Joins: true, Doubt: true, Needs: anyFat,
			Help: "how much lye a blend of fats takes, or whether a recipe is safe",
			Forms: []string{
				"^lye", "^naoh", "^koh", "^caustic", "lye|caustic|naoh|koh|hydroxide|potash for|on|with|goes", "how much|many * lye|naoh|koh|caustic|hydroxide|potash", "how much|many lie", // as dictation hears it
				"how much * water",
				"what|what's|whats * lye|naoh|koh|caustic", "lye * safe|ok|okay|right|heavy|enough", "is * lye", "recipe * lye", "^check", "the lye", "lye$", "lye|naoh|koh|caustic|hydroxide|potash", "would * lye",
				"liquid|soft soap",
			},
			Kinds: amounts, Lists: []string{"fats", "settings", "extras"},
			Fill: []string{
				"soap", "card", "recipe", "batch", "blend", "make", "making", "using", "bar", "bars", "weigh", "much", "many", "work",
				"amount", "needed", "safe", "check", "right", "enough", "goes", "each", "says", "said", "calculate", "makes", "heavy", "how", "calc", "what", "whats", "both", "all", "grams", "ounces", "would", "too",
				"instead", "place", "parts", "work", "counted", "mix", "tin", "tub", "packet", "trace", "added", "add", "adding", "liquid", "bottle", "strong", "dissolved", "takes", "take", "can",
			},
			Examples: []desk.Example{
				{Line: "lye 900 g tallow 300 g coconut"},
				{Line: "how much lye for 500 g lard, 250 g coconut and 250 g olive, superfat 5%, lye purity 98%, 2:1 water"},
				{Line: "check 1200 g lard 160 g lye 456 g water"},
				{Line: "lye 600 g olive 300 g coconut 100 g castor, 2% citric acid, goat milk instead of water"},
				{Line: "koh 600 g sunflower 300 g coconut 100 g castor, superfat 3%, koh purity 90%"},
				{Line: "lye 500 g lard 500 g olive, 90:10 naoh to koh, koh purity 90%"},
			},
			Plain: plainCard, Do: card,
		},
		{
			Name: "burn", Command: "burn", Help: "first aid for a lye burn, at once",
			Forms: []string{"^help burn", "^burn$", "^burn help", "^lye burn|splash$", "^first aid$"}, Urgent: criesForHelp,
			Examples: []desk.Example{{Line: "help burn"}, {Line: "/burn"}, {Line: "lye splash"}},
			Do:       burn,
		},
	}
}

// plainCard keeps a line with strange words and no fat for talk, unless it asks
// for lye outright: then the strange word may be the fat.
func plainCard(req *desk.Request) bool {
	if len(req.Reading.Terms("fats")) > 0 {
		return true
	}
	if strings.HasPrefix(req.Form, "lye|") || len(req.Reading.Unknown) == 0 && req.Form == "^check" {
		return strings.Contains(req.Form, " ")
	}
	if len(req.Reading.Unknown) == 0 {
		return true
	}
	return strings.HasPrefix(req.Form, "^lye") || strings.HasPrefix(req.Form, "how") || strings.HasPrefix(req.Form, "what") || strings.Contains(req.Form, " for|")
}

func batchAsks() []desk.Ask {
	return []desk.Ask{
		{
			Name: "batch", Command: "batch", Adult: true, Keep: true, Joins: true, Doubt: true,
			Help:  "write down a pour, from the last card or in one line, and set its bells",
			Forms: []string{"^batch", "^poured", "^pour", "poured the|a soap|batch", "^batch|poured * called|named"},
			Kinds: slices.Concat(amounts, clocks, []phrase.Kind{phrase.KindThing}), Lists: []string{"fats", "settings", "extras"},
			Fill: slices.Concat(soapy, []string{"poured", "pour", "called", "named", "new", "just"}),
			Examples: []desk.Example{
				{Setup: []string{"lye 1200 g lard"}, Line: "batch called lavender"},
				{Setup: []string{"lye 1200 g lard"}, Line: "poured it at 7"},
				{Line: "poured 1200 g lard 160 g lye 456 g water"},
			},
			Plain: plainPour, Do: pour,
		},
		{
			Name: "batch", Command: "batch", Adult: true, Needs: ofBatch, Help: "correct when a batch was poured",
			Forms: []string{"batch * was poured", "* was poured"}, Kinds: slices.Concat(clocks, []phrase.Kind{phrase.KindThing}), Lists: []string{"batches"},
			Examples: []desk.Example{{Setup: []string{"lye 1200 g lard", "batch"}, Line: "batch 1 was poured yesterday at 4pm"}},
			Do:       repour,
		},
		{
			Name: "batch", Command: "batch", Help: "say that a step was done, even late",
			Forms: []string{"^unmoulded|unmolded|demoulded|demolded|cut|sliced|turned|thinned|diluted", "soap|bars|batch|paste * cut|turned|unmoulded|unmolded|thinned|diluted$"},
			Kinds: slices.Concat(clocks, []phrase.Kind{phrase.KindThing, phrase.KindNumber}), Lists: []string{"batches"}, Fill: append([]string{"into", "pieces", "paste"}, soapy...),
			Examples: []desk.Example{
				{Setup: []string{"lye 1200 g lard", "batch"}, Line: "unmoulded batch 1"},
				{Setup: []string{"lye 1200 g lard", "batch"}, Line: "cut batch 1 into 12 bars"},
			},
			Plain: func(req *desk.Request) bool { return req.Mentions("soap", "bars", "paste") || namesBatch(req) }, Do: told,
		},
	}
}

// plainPour lets "poured" act in ordinary talk only when soap is at hand: fats
// are named, or there is a card to pour from. Tea and milk are poured too, and
// "pour" alone is said to somebody who is to do it.
func plainPour(req *desk.Request) bool {
	if len(req.Reading.Terms("fats")) > 0 || req.Has(ofBatch[0]) {
		return true
	}
	if strings.Contains(req.Text, "?") || poursSomethingElse(req) || req.Form == "^pour" && !req.Mentions("soap", "batch") {
		return false
	}
	if planned(req) {
		return false
	}
	if i := slices.IndexFunc(req.Reading.Tokens, func(t phrase.Token) bool { return t.Low == "poured" }); i > 0 && req.Reading.Tokens[i-1].Low == "it" {
		return false // rain
	}
	if len(req.Reading.Unknown) > 0 && !req.Mentions("called", "named") {
		return false
	}
	_, _, ok, err := waitingCard(req)
	_, under, perr := pouringRecipe(req)
	return err == nil && perr == nil && (ok || under || cardAside(req) || req.Mentions("soap"))
}

// planned tells "pour the soap on thursday", and "at 14:00", from what was poured.
func planned(req *desk.Request) bool {
	return req.Form == "^pour" && req.Reading.Moment(req.Context(), phrase.Past).Count > 0 && !req.Mentions("poured")
}

// poursSomethingElse reports that a line names what is poured, and that it is no
// soap: a liquid or an additive without a weight.
func poursSomethingElse(req *desk.Request) bool {
	if len(req.Reading.Terms("fats"))+len(req.Reading.Of(phrase.KindQuantity)) > 0 {
		return false
	}
	return slices.ContainsFunc(beforeName(req, items(req.Reading)), func(it item) bool { return it.label != "" })
}

// theSoap reports a line that asks of the soap, or the bars, and of nothing else, where
// some has been poured.
func theSoap(req *desk.Request) bool {
	if len(req.Reading.Unknown) > 0 || !req.Mentions("soap", "bars", "batch") {
		return false
	}
	poured, err := req.Tx.Batches(req.House.ID)
	return err == nil && len(poured) > 0
}

func namesBatch(req *desk.Request) bool {
	return req.Has(ofBatch[0]) || req.Has(ofBatch[1])
}

func rackAsks() []desk.Ask {
	thing := []phrase.Kind{phrase.KindThing}
	return []desk.Ask{
		{
			Name: "rack", Command: "rack", Help: "the batches on the curing shelf",
			Forms:    []string{"^rack$", "on the rack$", "^the rack$", "what soap|batches * rack|curing", "what|which|any soap * have|got|left", "how much soap * have|got|left", "how many bars|batches", "^have we any soap", "^batches$", "^list batches$", "^curing$", "what * curing$"},
			Fill:     []string{"show", "list", "soap", "what", "which", "how", "much", "many", "any", "have", "got", "left", "bars", "batches", "there"},
			Examples: []desk.Example{{Line: "rack"}, {Line: "what's on the rack"}},
			Do:       rack,
		},
		{
			Name: "when", Command: "rack", Help: "when a batch is ready, or its next step",
			Forms: []string{"when|when's * ready|done|cured|usable", "is * ready", "when * cut|turn|turned|unmould|unmold|weigh|use", "how old"}, Kinds: thing, Lists: []string{"batches"},
			Fill: slices.Concat(soapy, []string{"need", "weigh", "due", "old", "use", "ready", "yet", "now", "cured", "done"}), Examples: []desk.Example{{Setup: []string{"lye 1200 g lard", "batch"}, Line: "when is batch 1 ready"}},
			Plain: func(req *desk.Request) bool { return namesBatch(req) || theSoap(req) }, Do: when,
		},
		dryingAsk(thing),
		{
			Name: "weigh", Command: "weigh", Needs: ofBatch, Doubt: true, Help: "note what a batch on the rack weighs",
			Forms: []string{"^weigh|weighed", "weighs|weighed", "^weight of"}, Kinds: slices.Concat(thing, amounts, clocks), Lists: []string{"batches"},
			Fill: append([]string{"grams", "now", "weight", "today"}, soapy...),
			Examples: []desk.Example{
				{Setup: []string{"lye 1200 g lard", "batch"}, Line: "weigh batch 1 1620 g"},
				{Setup: []string{"lye 1200 g lard", "batch"}, Line: "batch 1 weighs 1.6 kg"},
				{Setup: []string{"lye 1200 g lard", "batch"}, Line: "/weigh batch 1 3 lb 9 oz"},
			},
			Do: weigh,
		},
	}
}
