package day

import (
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// schoolTitle is the block whose hours the household keeps as a setting: the children's
// bells are quiet in them.
const schoolTitle = "school"

// blockSaid is a block as a line tells it.
type blockSaid struct {
	storage.Block
	span     span
	days     storage.Weekdays // zero when none were said
	part     string           // morning, afternoon, evening or night, when every one of them was said
	assumed  string           // of its hours
	stranger string           // a name that is nobody's
}

var (
	placeSaid = phrase.NewPattern(`(?i)\s(?:in|at)\s+(?:the\s+|a\s+)?([a-z' ]+?)\s*$`)
	awaySaid  = phrase.NewPattern(`(?i)[\s,]+(out|away|elsewhere)\s*$`)
)

// blockFill are words of a line about a block that are no part of its name.
var blockFill = []string{"block", "blocks", "day", "our", "the", "is", "for", "from", "on", "and", "with", "of", "to", "a", "every", "each", "we", "have", "please", "time", "now", "move", "set", "s", "all", "at", "be", "it's", "are", "has", "go", "goes", "does", "got", "starts", "starting"}

// readBlock reads "school weekdays 9:30-12:30 kids", "club tuesdays 16-18 Ivo in the
// village", "the kids have football thursdays 4 to 5.30".
func readBlock(req *desk.Request) blockSaid {
	from, to, undated, once := onceSaid(req)
	if once {
		one := *req
		one.Text = undated
		req = &one
	}
	whom, text := peopleIn(req)
	if whom == "" && req.Mentions("i", "i'm", "i've") {
		whom, text = reminders.People(req.Who.ID), selfSaid.ReplaceAllString(text, " ")
	}
	text = strings.TrimLeft(text, "/ ")
	b := blockSaid{Block: storage.Block{Household: req.House.ID, Whom: whom}}
	b.days, text = weekdaysIn(strings.ReplaceAll(text, ":)", ""))
	b.span, b.assumed = hoursSaid(text, b.days)
	b.part, text = partSaid(b.span.rest)
	if b.days == 0 && b.part != "" {
		b.days = storage.EveryDay
	}
	text = vagueDays.ReplaceAllString(text, " ")
	text = strings.TrimRight(text, " ,.!")
	if m := placeSaid.FindStringSubmatch(text); m != nil {
		b.Place, text = strings.TrimSpace(m[1]), strings.TrimSuffix(text, m[0])
		text = strings.TrimRight(text, " ,")
	} else if m := awaySaid.FindStringSubmatch(text); m != nil {
		b.Place, text = strings.ToLower(m[1]), strings.TrimSuffix(text, m[0])
	}
	b.First, b.Past = b.span.first, b.span.past
	if b.Title, b.stranger = titleOf(text); b.Title == "" && placeSaid.MatchString(" at "+b.Place) { // Tom is at work
		b.Title, b.Place = b.Place, ""
	}
	if b.Title == "work" && b.part == "night" {
		b.Title = "night work"
	}
	b.Open = isOpen(b.Title)
	if once {
		b.Since, b.Until, b.Days, b.days = from, to, storage.EveryDay, storage.EveryDay
	}
	return b
}

// titleOf are the words that are left, and a word among them that looks like the name of
// somebody nobody added.
func titleOf(text string) (title, stranger string) {
	var words []string
	toks := phrase.Tokens(text)
	for i := 0; i < len(toks); i++ {
		t := toks[i]
		if i+2 < len(toks) && t.Kind == phrase.Num && toks[i+1].Low == "-" && toks[i+1].Glued && toks[i+2].Kind == phrase.Word && toks[i+2].Glued { // 4-H
			words, i = append(words, t.Text+"-"+toks[i+2].Text), i+2
			continue
		}
		if t.Kind != phrase.Word || slices.Contains(blockFill, t.Low) && (len(words) == 0 || t.Low != "time") {
			continue
		}
		if i > 1 && unicode.IsUpper([]rune(t.Text)[0]) && len(words) > 0 {
			stranger = t.Text
			continue
		}
		words = append(words, map[bool]string{true: "work", false: t.Low}[t.Low == "works" || t.Low == "working"])
	}
	for len(words) > 0 && slices.Contains(blockFill, words[len(words)-1]) && words[len(words)-1] != "time" {
		words = words[:len(words)-1]
	}
	return strings.Join(words, " "), stranger
}

// isOpen reports a block that is kept for jobs.
func isOpen(title string) bool {
	words := strings.Fields(title)
	return slices.Contains(words, "jobs") || slices.Contains(words, "job") || title == "free" || title == "free time"
}

// usualBlocks are names of blocks that a plain line may begin with.
const usualBlocks = "supper|dinner|lunch|breakfast|tea|elevenses|school|lessons|chores|bed|bedtime|nap|evening|work|quiet|milking|jobs|church|club|swimming|piano|free|practice|training|nursery|playgroup|football|soccer|band|choir|scouts|guides|cubs|prayers|shift|night"

func blockAsks() []desk.Ask {
	people := []string{"people"}
	quiet := []string{"block quiet work 13:30-15:00 Tom"}
	school := []string{"day school weekdays 9:30-12:30 kids"}
	return []desk.Ask{
		{
			Name: "block", Command: "block", Help: "the fixed blocks of the household's day: who is where", Forms: []string{"^blocks$", "^block$", "^day$", "^show our|the day|blocks$", "^our day$", "^what does our|the day look like", "^list|show * blocks$"},
			Fill: []string{"show", "list", "blocks", "day"}, Examples: []desk.Example{{Line: "blocks"}, {Setup: school, Line: "show our day"}}, Do: listBlocks,
		},
		{
			Name: "block", Command: "block", Text: true, Lists: people, Kinds: []phrase.Kind{phrase.KindClock, phrase.KindNumber, phrase.KindDate, phrase.KindDays}, Help: "a fixed block of the day: what, when, who, where",
			Forms:    []string{"^block", "^day", "^" + usualBlocks},
			Examples: []desk.Example{{Line: "day school weekdays 9:30-12:30 kids"}, {Line: "block quiet work 13:30-15:00 Tom"}, {Line: "supper 18:00-19:00 everyone"}, {Line: "block club tuesdays 16:00-18:00 Ivo in the village"}},
			Plain:    plainBlock, Do: setBlock,
		},
		toldAsk(),
		{
			Name: "block", Command: "block", Text: true, Lists: people, Kinds: []phrase.Kind{phrase.KindClock, phrase.KindNumber}, Help: "take a block out of the day", Forms: []string{"^block * off$", "^drop|remove|delete * block", "^no more * block", "^block drop"},
			Examples: []desk.Example{{Setup: quiet, Line: "block quiet work off"}, {Setup: quiet, Line: "drop the quiet work block"}}, Plain: namesBlock, Do: dropBlock,
		},
		{
			Name: "block", Command: "block", Text: true, Lists: people, Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart}, Help: "a block is at another time from now on", Forms: []string{"^move * to", "^block * to"},
			Examples: []desk.Example{{Setup: quiet, Line: "move quiet work to 14:00"}}, Plain: func(req *desk.Request) bool {
				b := namedIn(req)
				if b == nil || !namesBlock(req) {
					return false
				}
				_, timed := newTimes(req, *b)
				return timed || onlyWords(req, b.Title, "move", "block", "to", "the", "later", "earlier", "please")
			}, Do: moveBlock,
		},
		{
			Name: "block", Command: "block", Text: true, Keep: true, Kinds: []phrase.Kind{phrase.KindClock, phrase.KindPart, phrase.KindDate}, Question: true, Help: "who is where, now or at a time", Forms: []string{"^who|who's|whos is where", "^who|who's|whos where", "^who is home", "^who's|whos home", "^where is|are everyone|everybody", "^where's everyone|everybody"},
			Examples: []desk.Example{{Setup: school, Line: "who is where at 10"}, {Line: "who is where"}}, Plain: plainWhere, Do: whoWhere,
		},
	}
}

// plainBlock takes a plain line for a block only when it has all of one: a name, from when
// until when, and who. "Block the door" and "day 3 of my cold" are talk.
func plainBlock(req *desk.Request) bool {
	if strings.ContainsAny(req.Text, "?!") {
		return false
	}
	b := readBlock(req)
	n := len(strings.Fields(b.Title))
	command := strings.HasPrefix(req.Form, "^block")
	switch {
	case b.span.said && b.Whom != "":
		return n <= 3 && (command || strings.HasPrefix(req.Form, "^day") && n > 0 || usualTitle(req, b.Title))
	case b.span.said:
		return command && n <= 3
	case b.Whom != "" && command:
		return usualBlock(b.Title)
	}
	return command && n > 0 && blockNamed(req, b.Title) != nil
}

// usualTitle reports a name that a plain line gives a block: of usual words alone, or of a
// block that there is. "Work is killing me 9 to 5" is talk.
func usualTitle(req *desk.Request, title string) bool {
	if old := blockNamed(req, title); old != nil && strings.EqualFold(old.Title, title) {
		return true
	}
	return title != "" && !slices.ContainsFunc(strings.Fields(title), func(w string) bool { return !usualBlock(w) && w != "time" && w != "night" && w != "day" })
}

func usualBlock(title string) bool {
	return slices.Contains(strings.Split(usualBlocks, "|"), title)
}

// blocksOf returns the household's blocks; its school hours are one.
func blocksOf(req *desk.Request) ([]storage.Block, error) {
	all, err := req.Tx.Blocks(req.House.ID)
	yesterday := reminders.Day(req.Wall).AddDate(0, 0, -1)
	all = slices.DeleteFunc(all, func(b storage.Block) bool { return b.Dated() && b.Until.Before(yesterday) })
	if err != nil || !req.House.School.On {
		return all, err
	}
	s := req.House.School
	school := storage.Block{Household: req.House.ID, Title: schoolTitle, First: s.From, Past: s.To, Days: storage.EveryDay, Whom: reminders.Kids}
	if s.Weekdays {
		school.Days = storage.Working
	}
	all = append(all, school)
	slices.SortStableFunc(all, func(a, b storage.Block) int { return int(a.First - b.First) })
	return all, nil
}

// blockNamed finds a block by its name, nil for none.
func blockNamed(req *desk.Request, title string) *storage.Block {
	all, err := blocksOf(req)
	if err != nil || title == "" {
		return nil
	}
	for _, same := range []func(b storage.Block) bool{
		func(b storage.Block) bool { return strings.EqualFold(b.Title, title) },
		func(b storage.Block) bool { return strings.HasPrefix(strings.ToLower(b.Title), title+" ") },
	} {
		if i := slices.IndexFunc(all, same); i >= 0 {
			return &all[i]
		}
	}
	return nil
}

// setBlock writes a block down, changes one, or shows it.
func setBlock(req *desk.Request) (desk.Reply, error) {
	b := readBlock(req)
	old := blockNamed(req, b.Title)
	command := strings.HasPrefix(req.Form, "^block") || strings.HasPrefix(req.Form, "^day")
	assumed := b.careful(old == nil && !aboutNow.MatchString(req.Text), !command)
	if reply, asked := blockLacks(req, b, old); asked {
		return reply, nil
	}
	if reply, asked := onceLacks(req, b); asked {
		return reply, nil
	}
	if reply, no := mayNot(req, "the blocks of the day"); no {
		return reply, nil
	}
	if b.Dated() {
		return putOnce(req, b.Block, old)
	}
	b.Days = b.days
	if b.Days == 0 && b.lessons() && old == nil {
		b.Days = storage.Working
		assumed = append(assumed, "weekdays")
	}
	if b.Days == 0 {
		b.Days = storage.EveryDay
	}
	if old != nil {
		b.Title = old.Title
		if b.days == 0 || b.Whom == "" {
			one, reply := oneBlock(req, b.Title, func(o storage.Block) string { return "block " + sayBlock(req, withHours(o, b.span)) })
			if one == nil {
				return reply, nil
			}
			old = one
		}
		if b.days == 0 {
			b.Days = old.Days
		}
		if b.Whom == "" {
			b.Whom = old.Whom
		}
		if b.Place == "" && b.Whom == old.Whom {
			b.Place = old.Place
		}
	}
	reply, err := putBlock(req, b.Block, b.part != "")
	reply.Assumed = append(reply.Assumed, assumed...)
	return reply, err
}

// blockLacks asks for what a line about a block leaves out.
func blockLacks(req *desk.Request, b blockSaid, old *storage.Block) (desk.Reply, bool) {
	const example = "For example: block supper 18:00-19:00 everyone"
	switch {
	case b.span.why != "":
		return desk.Refuse(b.span.why + " Nothing was changed. " + example), true
	case b.stranger != "":
		return desk.Refuse(fmt.Sprintf("I know nobody called %s here. Nothing was changed.", b.stranger)), true
	case b.Title == "":
		return desk.AskBack("Which block is that? " + example), true
	case !b.span.said && old != nil && b.Whom == "":
		return desk.Answer(sayBlock(req, *old)), true
	case !b.span.said:
		return desk.AskBack(fmt.Sprintf("When is %s? For example: block %s 13:30-15:00 %s", b.Title, b.Title, req.Who.Name)), true
	case b.Whom == "" && old == nil:
		hours := strings.TrimSpace(fmt.Sprintf("%s %s-%s", sayWeekdays(b.days), b.First, b.Past))
		return desk.AskBack(fmt.Sprintf("Who is in it? For example: block %s %s everyone", b.Title, hours),
			desk.Labelled("Everyone", fmt.Sprintf("block %s %s everyone", b.Title, hours)), desk.Labelled("The kids", fmt.Sprintf("block %s %s kids", b.Title, hours))), true
	}
	return daysLack(req, b)
}

// sayBlock writes a block: "school weekdays 09:30-12:30, the kids".
func sayBlock(req *desk.Request, b storage.Block) string {
	text := b.Title + " "
	if days := sayWeekdays(b.Days); days != "" {
		text += days + " "
	}
	if b.Dated() {
		text += sayFromTo(req, b.Since, b.Until) + " "
	}
	text += fmt.Sprintf("%s-%s, %s", b.First, b.Past, reminders.SayWhom(b.Whom, req.People, req.Now))
	if b.Place != "" {
		text += ", " + sayPlace(b.Place)
	}
	return text
}

func sayPlace(place string) string {
	switch place {
	case "out", "away", "elsewhere", "home":
		return place
	}
	if strings.HasSuffix(place, "'s") { // Ruth's
		return "at " + place
	}
	return "in the " + place
}

// listBlocks shows the household's day.
func listBlocks(req *desk.Request) (desk.Reply, error) {
	all, err := blocksOf(req)
	if err != nil {
		return desk.Reply{}, err
	}
	if len(all) == 0 {
		return desk.Answer("The day has no blocks yet. For example: block supper 18:00-19:00 everyone"), nil
	}
	reply := desk.Answer("The household's day:")
	for _, b := range all {
		reply.Lines = append(reply.Lines, sayBlock(req, b))
	}
	words, err := req.Tx.DayWords(req.House.ID, reminders.Day(req.Wall), reminders.Day(req.Wall).AddDate(0, 0, 7))
	if err != nil {
		return desk.Reply{}, err
	}
	for _, w := range words {
		reply.Lines = append(reply.Lines, sayDayWord(req, w))
	}
	return reply, nil
}

// namedIn finds the block that a line names, the longest name first.
func namedIn(req *desk.Request) *storage.Block {
	all, err := blocksOf(req)
	if err != nil {
		return nil
	}
	slices.SortStableFunc(all, func(a, b storage.Block) int { return len(b.Title) - len(a.Title) })
	text := " " + strings.Join(phrase.Words(req.Text), " ") + " "
	for i, b := range all {
		if title := strings.Join(phrase.Words(b.Title), " "); strings.Contains(text, " "+title+" ") || strings.Contains(text, " "+title+"'s ") {
			return &all[i]
		}
	}
	return nil
}

func namesBlock(req *desk.Request) bool {
	return namedIn(req) != nil && !strings.Contains(req.Text, "?")
}

// whichBlock is the block that a line names, or the question which.
func whichBlock(req *desk.Request) (*storage.Block, desk.Reply) {
	if b := namedIn(req); b != nil {
		return b, desk.Reply{}
	}
	all, err := blocksOf(req)
	if err != nil || len(all) == 0 {
		return nil, desk.AskBack("The day has no block of that name. For example: block supper 18:00-19:00 everyone")
	}
	var names []string
	for _, b := range all {
		names = append(names, b.Title)
	}
	return nil, desk.AskBack("Which block? There is no block of that name, only " + desk.List(names) + ".")
}

// moveBlock gives a block another beginning from now on; it stays as long. A day named
// with it moves it on that day only.
func moveBlock(req *desk.Request) (desk.Reply, error) {
	if len(req.Reading.Of(phrase.KindDate)) > 0 {
		return moveToday(req)
	}
	b, reply := whichBlock(req)
	if b == nil {
		return reply, nil
	}
	if _, ok := newTimes(req, *b); !ok {
		return desk.AskBack(fmt.Sprintf("To when? For example: move %s to 14:00", b.Title)), nil
	}
	return fromNowOn(req, b.Title)
}

// newTimes reads when a block is instead: from when until when, or only from when.
func newTimes(req *desk.Request, b storage.Block) (span, bool) {
	if s, _ := hoursSaid(req.Text, 0); s.said {
		return s, s.why == ""
	}
	evening := slices.Contains(late, strings.ToLower(b.Title)) || b.First >= 17*60
	at, _, ok := timeOf(halves(req.Text), evening)
	switch {
	case !ok:
		return span{}, false
	case req.Mentions("finishes", "ends", "over"):
		return span{first: b.First, past: at}, at > b.First
	case req.Mentions("starts", "begins") && at < b.Past:
		return span{first: at, past: b.Past}, true
	}
	past := (at + lengthOf(b)) % (24 * 60)
	if isLessons(b) && !req.Mentions("move") { // who begins late is not let out late
		past = min(past, b.Past)
	}
	return span{first: at, past: past}, past > at || !isLessons(b)
}

// lengthOf is how long a block lasts.
func lengthOf(b storage.Block) storage.Minutes {
	if b.Past > b.First {
		return b.Past - b.First
	}
	return b.Past + 24*60 - b.First
}

func plainWhere(req *desk.Request) bool {
	if req.Mentions("home") && len(phrase.Words(req.Text)) < 4 {
		return false // asked into the house
	}
	return !slices.ContainsFunc(req.Reading.Tokens, func(t phrase.Token) bool {
		return t.Kind == phrase.Word && !phrase.IsFiller(t.Low) && !dated(req, t) && !slices.Contains([]string{"who", "whos", "who's", "home", "where", "where's", "everyone", "everybody", "now", "today", "half", "past", "quarter", "am", "pm", "o'clock", "noon"}, t.Low) && hours[t.Low] == ""
	}) && len(phrase.Words(req.Text)) <= 9
}

// whoWhere says where everybody is at a time.
func whoWhere(req *desk.Request) (desk.Reply, error) {
	at := req.Wall
	day := dateMeant(req)
	if m, _, ok := timeOf(req.Text, false); ok {
		at = reminders.AtMinutes(day, m)
	} else if day.After(at) {
		return tellDay(req, day)
	}
	lines, err := whereLines(req, at)
	if err != nil {
		return desk.Reply{}, err
	}
	return desk.Answer("At "+reminders.SayTime(at, req.Wall, req.House.DayFirst)+":", lines...), nil
}

// whereLines tells of a time which block holds whom, and who is free or away.
func whereLines(req *desk.Request, at time.Time) ([]string, error) {
	d, err := dayOf(req, reminders.Day(at))
	if err != nil {
		return nil, err
	}
	home, err := homeToday(req)
	if err != nil {
		return nil, err
	}
	var out []string
	in := map[int64]bool{}
	for _, p := range req.People {
		if a, is := home.Absent(p.ID, req.Instant(at)); is && !p.Gone {
			out, in[p.ID] = append(out, p.Name+": "+home.SayAbsence(a, req.Now)), true
		}
	}
	for _, b := range d.blocks {
		if b.from.After(at) || !b.to.After(at) {
			continue
		}
		var names []string
		for _, name := range inBlock(req, home, b) {
			if p, ok := req.Person(name); ok && !in[p.ID] {
				names, in[p.ID] = append(names, name), true
			}
		}
		if len(names) > 0 {
			line := fmt.Sprintf("%s: %s until %s", desk.List(names), b.Title, b.to.Format("15:04"))
			if b.Place != "" {
				line += ", " + sayPlace(b.Place)
			}
			out = append(out, line)
		}
	}
	var free []string
	for _, p := range req.People {
		if !p.Gone && !in[p.ID] {
			free = append(free, p.Name)
		}
	}
	if len(free) > 0 {
		out = append(out, desk.List(free)+": nothing set")
	}
	return out, nil
}
