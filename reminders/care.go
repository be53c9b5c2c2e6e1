package reminders

import (
	"slices"
	"strings"
	"unicode"

	"yardbell/calc/childwork"
	"yardbell/storage"
)

// Classify sets what a bell may do when the day does not go as planned, by the
// words of its title: what is care of animals, people and fire, what food safety
// or a rising dough does not let wait, and what rings until it is done.
func Classify(b *storage.Bell) {
	words := titleWords(b.Title)
	b.Safety = b.Safety || anyOf(words, safetyWords)
	b.Care = b.Care || anyOf(words, careWords)
	b.Firm = b.Firm || b.Safety || anyOf(words, firmWords)
}

var (
	// safetyWords make a bell that rings every ten minutes until it is done.
	safetyWords = wordSet("oven brooder lye")
	// careWords are animals, meals, medicine and fire: they ring on a bare day and
	// go to others when their person is away.
	careWords = wordSet(`feed fed water watering drink trough hay bedding milk milking muck eggs egg hens hen chickens chicken chicks cockerel
		ducks duck geese goose turkeys goats goat sow sows pig pigs piglets boar cow cows calf calves sheep ewe ewes lamb lambs horse pony
		rabbit rabbits bees cat dog kitten puppy animals stock incubator hatch
		breakfast lunch dinner supper tea meal meals cook cooking soup stew roast thaw defrost soak bread loaf dough jar starter pot
		medicine medicines tablet tablets pill pills dose doses insulin inhaler drops antibiotic bandage dressing vet doctor
		stove fire heater seedlings greenhouse frost`)
	// firmWords are food safety, dough and medicine: an hour behind does not move them.
	firmWords = wordSet(`dough proof proofing prove proving rise rising cool cooling chill fridge freezer reheat thaw defrost warm
		medicine medicines tablet tablets pill pills dose doses insulin inhaler drops antibiotic bandage dressing`)
	// medicineWords are what somebody takes or is given who is ill.
	medicineWords = wordSet("medicine medicines medication tablet tablets pill pills dose doses insulin inhaler drops antibiotic bandage dressing")
)

// isMedicine reports a bell of medicine, by its title.
func isMedicine(b storage.Bell) bool { return anyOf(titleWords(b.Title), medicineWords) }

// NotForChild reports a bell that is never a child's: lye, hot fat, machines,
// dangerous animals, mothers with young, heat lamps, whatever rings for safety, and soap
// that is still caustic.
func NotForChild(b storage.Bell) bool {
	return b.Safety || Dangerous(b.Title) || strings.HasPrefix(b.Subject, "birth:") || strings.HasPrefix(b.Subject, "batch") && (b.Step == "unmould" || b.Step == "cut" || b.Step == "check")
}

// birthWords are lambing, kidding and calving; a kid by itself may be a child.
var (
	birthWords = wordSet("lambing kidding calving lamb afterbirth placenta newborn")
	kidWords   = wordSet("kid kidded kids")
	goatWords  = wordSet("doe goat nanny")
)

// NearBirth reports work at which animals give birth: not for a person who expects a
// child herself (Q fever, toxoplasma, chlamydia, listeria).
func NearBirth(b storage.Bell) bool {
	words := titleWords(b.Title)
	return strings.HasPrefix(b.Subject, "birth:") || anyOf(words, birthWords) || anyOf(words, kidWords) && anyOf(words, goatWords)
}

// Dangerous reports work that is never a child's, by the words of its title.
func Dangerous(title string) bool { return childwork.Never(title) }

func titleWords(title string) []string {
	return strings.FieldsFunc(strings.ToLower(title), func(r rune) bool { return !unicode.IsLetter(r) && r != '\'' })
}

func anyOf(words []string, set map[string]bool) bool {
	return slices.ContainsFunc(words, func(w string) bool {
		w = strings.TrimSuffix(w, "'s")
		return set[w] || set[strings.TrimSuffix(w, "s")] || set[strings.TrimSuffix(w, "es")]
	})
}

func wordSet(s string) map[string]bool {
	set := map[string]bool{}
	for w := range strings.FieldsSeq(s) {
		set[w] = true
	}
	return set
}
