package soap

import (
	"slices"
	"strings"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
)

// A cry for help is heard however it is worded and whoever types it: lye, and near
// it what it did or where it is on a body.

var (
	lyeNamed  = []string{"lye", "caustic", "naoh", "koh", "hydroxide", "potash"}
	swallowed = []string{"swallow", "swallowed", "swallows", "swallowing", "drank", "drunk", "drinking", "ate", "eaten", "licked", "inhaled", "breathed"}
	splashed  = []string{"splash", "splashed", "splashes", "splashing", "spill", "spilled", "spilt", "spilling", "splattered", "sprayed", "squirted", "touched", "touching", "touch"}
	burned    = []string{"burned", "burnt", "burning"}
	onto      = []string{"in", "into", "on", "onto", "over", "inside", "under", "through"}
	eyes      = []string{"eye", "eyes"}
	body      = append([]string{
		"skin", "hand", "hands", "arm", "arms", "face", "mouth", "lip", "lips", "tongue", "finger", "fingers", "leg", "legs", "foot", "feet", "toe", "toes",
		"throat", "nose", "neck", "chest", "knee", "knees", "wrist", "hair", "cheek", "forehead", "ear", "ears",
	}, eyes...)
	whoseBody = []string{"my", "his", "her", "their", "your", "our", "the", "both", "one", "a", "bare", "left", "right"}
	handGoods = []string{"soap", "soaps", "cream", "wash", "towel", "mixer", "blender", "bar", "bars", "made"}
	calmly    = []string{"don't", "dont", "not", "never", "careful", "without", "won't", "wont", "avoid"}
	burnTalk  = append([]string{"burn", "burns", "help", "first", "aid", "for", "what", "to", "do", "i", "we", "now", "please", "quick", "soda", "sodium"}, lyeNamed...)
)

// nearLye is how many words may stand between lye and what it did.
const nearLye = 5

// burnWords are the words of a line, without the endings of possession.
func burnWords(req *desk.Request) []string {
	var words []string
	for _, t := range req.Reading.Tokens {
		if t.Kind != phrase.Mark {
			words = append(words, strings.TrimSuffix(t.Low, "'s"))
		}
	}
	return words
}

// criesForHelp reports a line that tells of lye in an eye, on skin, swallowed,
// splashed, or of its burn.
func criesForHelp(req *desk.Request) bool {
	words := burnWords(req)
	if hurtsNow(req, words) || soapBurns(words) || mishapNow(req, words) || lyeOver(words) {
		return true
	}
	if !slices.ContainsFunc(words, func(w string) bool { return w == "lie" || slices.Contains(lyeNamed, w) }) {
		return false
	}
	if cleansUp(words) {
		return false
	}
	recipe := len(phrase.Read(req.Text, req.Reading.Tokens, req.Context(), phrase.Query{Kinds: []phrase.Kind{phrase.KindQuantity}}).Spans) > 0
	for i, w := range words {
		lie := w == "lie" // as dictation hears it
		if !lie && !slices.Contains(lyeNamed, w) {
			continue
		}
		if nounBurn(words, i) || harmed(words, i, lie, recipe) || onBody(words, i, lie) || !lie && firstAidFor(words) {
			return true
		}
	}
	return false
}

// hurting are the words of somebody who is being hurt.
var hurting = []string{"hurts", "hurt", "hurting", "burns", "burn", "burned", "burnt", "burning", "stings", "stinging", "sting"}

// hurtsNow reports that somebody says that it hurts while lye is open: then it need not be
// named. A chore, a meal and a question have other words.
func hurtsNow(req *desk.Request, words []string) bool {
	if len(words) > 12 || !slices.ContainsFunc(words, func(w string) bool { return slices.Contains(hurting, w) }) || slices.Contains(words, "soup") || slices.Contains(words, "toast") {
		return false
	}
	roped, err := req.Tx.Roped(req.House.ID)
	return err == nil && len(roped) > 0
}

// soapBurns reports raw soap on a body that burns, whoever it is: "soap on Lise's face it
// burns", "Maren burned herself with the soap".
func soapBurns(words []string) bool {
	if len(words) > 14 || !slices.Contains(words, "soap") || slices.ContainsFunc(words, func(w string) bool { return slices.Contains(calmly, w) }) {
		return false
	}
	hurt := slices.ContainsFunc(words, func(w string) bool { return slices.Contains(hurting, w) })
	herself := slices.ContainsFunc(words, func(w string) bool {
		return w == "herself" || w == "himself" || w == "myself" || slices.Contains(body, w) && !slices.Contains([]string{"hand", "hands"}, w)
	})
	return hurt && herself
}

// cleansUp reports a question how lye is cleaned up that nobody is hurt by.
func cleansUp(words []string) bool {
	return len(words) > 1 && words[0] == "how" && slices.ContainsFunc(words, func(w string) bool { return w == "clean" || w == "mop" || w == "sweep" }) &&
		!slices.ContainsFunc(words, func(w string) bool {
			return slices.Contains(body, w) || slices.Contains(burned, w) || slices.Contains(swallowed, w) || w == "me" || w == "him" || w == "her"
		})
}

// nounBurn reports "a lye burn", and "lye burns" when hardly anything else is said:
// "that lye burns" is a remark.
func nounBurn(words []string, i int) bool {
	next := i + 1
	if next < len(words) && words[next] == "soda" {
		next++
	}
	if next >= len(words) {
		return false
	}
	if words[next] == "burn" {
		return true
	}
	return words[next] == "burns" && !slices.ContainsFunc(words, func(w string) bool { return !slices.Contains(burnTalk, w) })
}

// harmed reports what lye did, near the word for it.
func harmed(words []string, i int, lie, recipe bool) bool {
	for j := max(i-nearLye, 0); j < min(i+nearLye+1, len(words)); j++ {
		w := words[j]
		switch {
		case slices.ContainsFunc(words[max(j-3, 0):j], func(w string) bool { return slices.Contains(calmly, w) }):
		case slices.Contains(swallowed, w) && !(recipe && (w == "ate" || w == "eaten")): // eight, as dictation hears it
			return true
		case lie:
		case slices.Contains(splashed, w), slices.Contains(burned, w):
			return true
		}
	}
	return false
}

// onBody reports lye in an eye or on a part of the body. Soap for hands is no cry,
// and neither is lye that is on hand.
func onBody(words []string, i int, lie bool) bool {
	for j := i + 1; j < min(i+nearLye+3, len(words)); j++ {
		if !slices.Contains(body, words[j]) || lie && !slices.Contains(eyes, words[j]) || j+1 < len(words) && slices.Contains(handGoods, words[j+1]) {
			continue
		}
		k := j - 1
		for k > i && !slices.Contains(onto, words[k]) && (slices.Contains(whoseBody, words[k]) || j-k < 3) {
			k--
		}
		onHand := words[j] == "hand" && k == j-1 && len(words) > 4
		if k > i && slices.Contains(onto, words[k]) && !onHand {
			return true
		}
	}
	return false
}

// onSomebody reports that a line about a spill is about somebody too: a part of the body, who
// is hurt, whom it went over.
func onSomebody(req *desk.Request) bool {
	words := burnWords(req)
	if hasAny(words, body...) || hasAny(words, hurting...) || hasAny(words, burned...) || hasAny(words, swallowed...) || hasAny(words, "me", "him", "them", "myself", "himself", "herself") {
		return true
	}
	for i := 1; i < len(words); i++ {
		_, person := req.Person(words[i])
		if slices.Contains(onto, words[i-1]) && (person || words[i] == "her") {
			return true
		}
	}
	return false
}

func firstAidFor(words []string) bool {
	at := slices.Index(words, "first")
	return at >= 0 && at+1 < len(words) && words[at+1] == "aid"
}
