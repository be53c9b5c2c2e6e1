package bells

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/reminders"
	"yardbell/storage"
)

// everydayAsks are bells in the words of every day: a timer, being woken, not
// forgetting, an appointment, what is put out each week.
func everydayAsks() []desk.Ask {
	lists := []string{"people"}
	return []desk.Ask{
		{
			Name: "ring", Command: "ring", Text: true, Kinds: append([]phrase.Kind{phrase.KindDuration}, phrase.Whenever...), Lists: lists, Help: "a timer for minutes or hours",
			Forms:    []string{"^timer", "^set|start a|another|the timer", "^set|start timer", "^another timer", "timer$", "^oven", "^turn|take|check * oven"},
			Examples: []desk.Example{{Line: "timer 12 min eggs"}, {Line: "set a timer for 45 minutes"}},
			Plain:    plainTimer, Do: timer,
		},
		{
			Name: "ring", Command: "ring", Text: true, Kinds: phrase.Whenever, Lists: lists, Help: "be woken, or not forget",
			Forms:    []string{"^wake me", "^wake me up", "^set an|my|the alarm", "^set alarm", "^alarm at|for", "^don't|dont let me|us forget", "^do not let me|us forget", "^make sure i|we don't|dont forget", "^make sure i|we remember"},
			Examples: []desk.Example{{Line: "wake me at 6"}, {Line: "don't let me forget the bread at 11:30"}},
			Plain:    timed, Do: wake,
		},
		{
			Name: "stop", Command: "stop", Kinds: []phrase.Kind{phrase.KindDate, phrase.KindPart, phrase.KindClock}, Fill: []string{"alarm", "cancel", "stop", "wake", "don't", "dont", "turn", "off"}, Help: "not to be woken after all",
			Forms:    []string{"^cancel|stop|delete my|the alarm", "^don't|dont wake me", "^do not wake me", "^turn * alarm off", "^turn off * alarm"},
			Examples: []desk.Example{{Setup: []string{"wake me at 6am"}, Line: "don't wake me tomorrow"}},
			Plain: func(req *desk.Request) bool {
				all, err := wakings(req)
				return err == nil && len(all) > 0 && len(req.Reading.Unknown) == 0
			}, Strict: true, Do: sleepOn,
		},
		{
			Name: "ring", Command: "ring", Text: true, Keep: true, Kinds: append([]phrase.Kind{phrase.KindNumber}, phrase.Whenever...), Lists: lists, Help: "an appointment on a day at an hour: it rings an hour before",
			Forms:    []string{strings.Join(appointments, "|")},
			Examples: []desk.Example{{Line: "dentist 12 march 14:30"}, {Line: "Tom's doctor appointment is on friday at 3pm"}},
			Strict:   true, Plain: plainAppointment, Do: appointment,
		},
		{
			Name: "ring", Command: "ring", Text: true, Keep: true, Kinds: phrase.Whenever, Lists: lists, Help: "what is put out or taken week by week",
			Forms:    []string{strings.Join(rounds, "|")},
			Examples: []desk.Example{{Line: "bins every friday"}, {Line: "recycling every second tuesday at 19:00"}},
			Strict:   true, Plain: plainRound, Do: round,
		},
	}
}

// plainTimer needs how long. The oven has no other words beside it, or is turned off in
// so many minutes.
func plainTimer(req *desk.Request) bool {
	_, ok := lasting(req)
	switch {
	case !ok || !shortLine(req) || strings.Contains(req.Text, "?"):
		return false
	case req.Form == "^oven":
		return rest(req) == ""
	case strings.HasPrefix(req.Form, "^turn|"):
		return len(req.Reading.Of(phrase.KindAfter)) > 0
	}
	return true
}

// shortLine keeps a tale with a timer in it for talk.
func shortLine(req *desk.Request) bool { return len(req.Reading.Tokens) <= 10 }

// lasting is how long a timer runs.
func lasting(req *desk.Request) (time.Duration, bool) {
	for _, s := range req.Reading.Spans {
		if d, ok := s.Value.(time.Duration); ok && d > 0 && d <= 24*time.Hour {
			return d, true
		}
	}
	return 0, false
}

// timer rings whoever set it when the minutes are over.
func timer(req *desk.Request) (desk.Reply, error) {
	d, ok := lasting(req)
	if !ok {
		return desk.AskBack("For how long? For example: timer 12 min eggs"), nil
	}
	title := rest(req)
	switch {
	case strings.HasPrefix(req.Form, "^turn|"):
		after := req.Reading.Of(phrase.KindAfter)[0]
		title = strings.Trim(req.Text[:after.Start]+req.Text[after.End:], " /.!")
	case req.Form == "^oven":
		title = "oven, " + reminders.SayDuration(d)
	case title == "":
		title = "timer of " + reminders.SayDuration(d)
	}
	o := order{title: title, whom: reminders.People(req.Who.ID), people: []storage.Person{req.Who}, bell: storage.Bell{Again: timerAgain.String()}}
	return add(req, o, req.Now.Add(d), true, nil)
}

// timerAgain is how a timer that nobody answers is said again: what is on the stove does
// not wait for a round.
var timerAgain = reminders.Ladder{Wait: 3 * time.Minute, Times: 10}

// wake rings whoever types it; what is not to be forgotten keeps its words.
func wake(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was set."), nil
	}
	title := strings.TrimSpace(strings.TrimPrefix(rest(req)+" ", "up "))
	wakes := strings.HasPrefix(req.Form, "^wake") || strings.Contains(req.Form, "alarm")
	switch {
	case title == "":
		title = wakeUp
	case wakes:
		title = wakeUp + ": " + title
	}
	if left := leftOver(title); left != "" {
		return desk.AskBack(fmt.Sprintf("I cannot set %s yet. For example: wake me every weekday at 7", desk.Quote(left))), nil
	}
	if repeats(req) {
		o := order{title: title, whom: reminders.People(req.Who.ID), people: []storage.Person{req.Who}}
		if reply, ok := o.time(req); !ok {
			return silentOr(reply)
		}
		return o.write(req)
	}
	when := req.Reading.Moment(req.Context(), phrase.Future)
	at := req.At(when)
	if when.Count == 0 {
		return desk.AskBack("When? For example: wake me at 6"), nil
	}
	if when.HasDate && !when.HasClock {
		at = reminders.RoundOn(req.House, when.Wall)
	}
	if wakes { // an hour by itself is the next one there is
		at = earlier(req, at)
	}
	var notes []string
	if when.Assumed {
		notes = []string{"read as " + req.WallOf(at).Format("15:04")}
	}
	reply, err := own(req, title, at, len(req.Reading.Of(phrase.KindAfter)) > 0, notes)
	if err != nil || !wakes || reply.Status != storage.OK {
		return reply, err
	}
	return wokenTwice(req, reply, at)
}

// wakeUp begins the title of what wakes somebody.
const wakeUp = "wake up"

// wakings are the bells that wake whoever types the line.
func wakings(req *desk.Request) ([]storage.Bell, error) {
	coming, err := live(req.Tx, req.House.ID)
	return slices.DeleteFunc(coming, func(b storage.Bell) bool {
		return !strings.HasPrefix(b.Title, wakeUp) || b.Whom != reminders.People(req.Who.ID) || b.Next.IsZero()
	}), err
}

// wokenTwice says which other bell wakes within the same half day: it may be meant to be
// gone.
func wokenTwice(req *desk.Request, reply desk.Reply, at time.Time) (desk.Reply, error) {
	all, err := wakings(req)
	for _, b := range all {
		if !b.Next.Equal(at) && b.Next.Sub(at).Abs() < 12*time.Hour {
			reply.Lines = append(reply.Lines, fmt.Sprintf("Bell %d wakes you too: %s.", b.Num, sayWhen(req, b)))
			reply.Buttons = append(reply.Buttons, desk.Labelled("Not "+req.WallOf(b.Next).Format("15:04"), fmt.Sprintf("stop bell %d", b.Num)))
		}
	}
	return reply, err
}

// sleepOn ends what would wake whoever types the line.
func sleepOn(req *desk.Request) (desk.Reply, error) {
	all, err := wakings(req)
	if err != nil {
		return desk.Reply{}, err
	}
	switch len(all) {
	case 0:
		return desk.Answer("No bell wakes you."), nil
	case 1:
		return stopOne(req, all[0])
	}
	reply := desk.AskBack("Which one?")
	for _, b := range all {
		reply.Lines = append(reply.Lines, bellLine(req, b))
		reply.Buttons = append(reply.Buttons, desk.Labelled(req.WallOf(b.Next).Format("Mon 15:04"), fmt.Sprintf("stop bell %d", b.Num)))
	}
	return reply, nil
}

// earlier takes the morning's hour where a bare one was read for the afternoon: nobody is
// woken at six in the evening.
func earlier(req *desk.Request, at time.Time) time.Time {
	w := req.WallOf(at)
	typed := strings.Contains(req.Text, strconv.Itoa(w.Hour())) || req.Mentions("pm", "afternoon", "evening", "noon")
	if w.Hour() >= 12 && len(req.Reading.Of(phrase.KindClock)) > 0 && !typed {
		if morning := at.Add(-12 * time.Hour); morning.After(req.Now) {
			return morning
		}
		return at.Add(12 * time.Hour)
	}
	return at
}

// appointments are what has a day and an hour with somebody outside.
var appointments = []string{"dentist", "dentist's", "doctor", "doctor's", "doctors", "gp", "midwife", "orthodontist", "optician", "physio", "dr", "appt", "mot", "parents", "hospital", "clinic", "farrier", "vet", "appointment", "checkup", "check-up", "haircut", "hairdresser", "butcher", "delivery", "meeting", "interview", "plumber", "electrician", "builder", "sweep", "church", "lesson", "exam", "test", "surgery", "hygienist", "vaccination"}

// appointmentWords stand in the line of an appointment and are no part of its name.
var appointmentWords = strings.Fields("is on at for with the a an has have got 's comes coming come visit visits due here my our to and please from evening appointment chimney blood school piano swimming music eye medical driving")

// before is how long before an appointment its bell rings.
const before = time.Hour

func plainAppointment(req *desk.Request) bool {
	w := appointed(req)
	bad := len(req.Reading.Of(phrase.KindBad)) > 0 // a day that is none is said
	if !bad && (!w.HasClock || !w.HasDate) || repeats(req) || !shortLine(req) || len(req.Reading.Of(phrase.KindAfter)) > 0 || strings.Contains(req.Text, "?") {
		return false
	}
	for _, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End })
		if t.Kind == phrase.Word && !covered && !slices.Contains(appointments, t.Low) && !slices.Contains(appointmentWords, t.Low) {
			return false
		}
	}
	return true
}

// appointment rings an hour before, its own hour in its name.
func appointment(req *desk.Request) (desk.Reply, error) {
	if bad := req.Reading.Of(phrase.KindBad); len(bad) > 0 {
		return desk.Refuse(bad[0].Value.(string) + " Nothing was set."), nil
	}
	w := appointed(req)
	if !w.HasClock || !w.HasDate {
		return desk.AskBack("On which day, at what hour? For example: dentist 12 march 14:30"), nil
	}
	at := req.Instant(w.Wall)
	if !at.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Nothing was set.", req.Say(at))), nil
	}
	name := appointmentName(req)
	ring := at.Add(-before)
	if !ring.After(req.Now) {
		ring = at
	}
	notes := []string{"it rings an hour before"}
	if w.Assumed {
		notes = append(notes, "read as "+w.Wall.Format("15:04"))
	}
	people := peopleSaid(req)
	whom := reminders.People(req.Who.ID)
	if len(people) > 0 && req.May() && !people[0].Child(req.Now) {
		whom = reminders.People(people[0].ID)
	}
	return add(req, order{title: titleAt(name, w.Wall), whom: whom, bell: storage.Bell{Step: stepAppointment}}, ring, false, notes)
}

// stepAppointment marks the bell of an appointment: its title ends with the hour that it
// rings before.
const stepAppointment = "appointment"

func titleAt(name string, wall time.Time) string { return name + " at " + wall.Format("15:04") }

// opens is the earliest hour of an appointment that is said without am: nobody's surgery
// is open at three in the night.
const opens = 7

// appointed is the day and the hour of an appointment. A number beside them that nothing
// else explains is the hour: "sat 11", "tomorrow 9.30".
func appointed(req *desk.Request) phrase.When {
	w := req.Reading.Moment(req.Context(), phrase.Future)
	numbers := req.Reading.Of(phrase.KindNumber)
	if w.HasClock && w.Assumed && w.Wall.Hour() < opens {
		w.Wall = w.Wall.Add(12 * time.Hour)
	}
	if w.HasClock || !w.HasDate || len(numbers) != 1 {
		return w
	}
	hour, minute, _ := strings.Cut(numbers[0].Text, ".")
	h, err := strconv.Atoi(hour)
	m, err2 := strconv.Atoi(minute)
	if minute == "" {
		m, err2 = 0, nil
	}
	if err != nil || err2 != nil || h < 1 || h > 23 || m > 59 || minute != "" && len(minute) != 2 {
		return w
	}
	if h < opens {
		h += 12
	}
	day := reminders.Day(w.Wall)
	w.Wall, w.HasClock, w.Assumed = time.Date(day.Year(), day.Month(), day.Day(), h, m, 0, 0, time.UTC), true, true
	return w
}

// moveAppointment gives an appointment another day or hour: its title and its bell follow.
func moveAppointment(req *desk.Request, b *edit, w phrase.When) (desk.Reply, bool) {
	i := strings.LastIndex(b.Title, " at ")
	clock, err := time.Parse("15:04", b.Title[max(i+4, 0):])
	if i < 0 || err != nil {
		return desk.AskBack("To which day and hour? For example: ring me dentist on friday at 9"), false
	}
	day := reminders.Day(req.WallOf(b.Next))
	hour, minute := clock.Hour(), clock.Minute()
	if w.HasDate {
		day = reminders.Day(w.Wall)
	}
	if w.HasClock {
		hour, minute = w.Wall.Hour(), w.Wall.Minute()
	}
	wall := time.Date(day.Year(), day.Month(), day.Day(), hour, minute, 0, 0, time.UTC)
	at := req.Instant(wall)
	if !at.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Nothing was changed.", req.Say(at))), false
	}
	b.Title, b.Next, b.Daily, b.Elapsed = titleAt(b.Title[:i], wall), at.Add(-before), false, false
	if !b.Next.After(req.Now) {
		b.Next = at
	}
	return desk.Reply{}, true
}

// appointmentName is what the line says of the appointment without its day and hour.
func appointmentName(req *desk.Request) string {
	var words []string
	for _, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool {
			return s.Kind != phrase.KindTerm && t.Start >= s.Start && t.Start < s.End
		})
		parents := t.Low == "evening" && req.Mentions("parents")
		if covered && !parents || t.Kind != phrase.Word || slices.Contains([]string{"is", "on", "at", "has", "have", "got", "the", "a", "an", "please", "due", "to"}, t.Low) {
			continue
		}
		words = append(words, t.Text)
	}
	return strings.Join(words, " ")
}

// peopleSaid are the people of the household that a line names.
func peopleSaid(req *desk.Request) (out []storage.Person) {
	for _, s := range req.Reading.Terms("people") {
		if p, ok := req.Person(s.Value.(phrase.Term).Name); ok {
			out = append(out, p)
		}
	}
	return out
}

// rounds are what goes out, comes or is taken by the day of the week.
var rounds = []string{"bins", "bin", "recycling", "rubbish", "trash", "garbage", "compost", "milkman", "milk", "rent", "wages", "tablets", "pills", "medicine", "ashes", "boiler", "meter"}

// roundWords stand in such a line beside the thing and its days.
var roundWords = strings.Fields("the go goes out are is put take empty collected collection day our my due get gets brown green blue black grey food garden waste and please read pay to be")

func plainRound(req *desk.Request) bool {
	if !repeats(req) || !shortLine(req) || strings.Contains(req.Text, "?") || len(req.Reading.Terms("people")) > 0 {
		return false
	}
	for _, t := range req.Reading.Tokens {
		covered := slices.ContainsFunc(req.Reading.Spans, func(s phrase.Span) bool { return t.Start >= s.Start && t.Start < s.End })
		if t.Kind == phrase.Word && !covered && !slices.Contains(rounds, t.Low) && !slices.Contains(roundWords, t.Low) {
			return false
		}
	}
	return true
}

// round rings whoever typed it on the days that were said.
func round(req *desk.Request) (desk.Reply, error) {
	o := order{title: appointmentName(req), whom: reminders.People(req.Who.ID), people: []storage.Person{req.Who}}
	if reply, ok := o.time(req); !ok {
		return silentOr(reply)
	}
	if there, err := o.roundAlready(req); err != nil || there.Head != "" {
		return there, err
	}
	return o.write(req)
}

// rest is what is left of the line without what named the ask and when.
func rest(req *desk.Request) string {
	title := req.Reading.Rest(func(s phrase.Span) bool { return s.Kind != phrase.KindTerm })
	return strings.TrimSpace(strings.TrimPrefix(title, "the "))
}

// own makes a bell that rings whoever typed the line once.
func own(req *desk.Request, title string, at time.Time, elapsed bool, notes []string) (desk.Reply, error) {
	return add(req, order{title: title, whom: reminders.People(req.Who.ID), people: []storage.Person{req.Who}}, at, elapsed, notes)
}

func add(req *desk.Request, o order, at time.Time, elapsed bool, notes []string) (desk.Reply, error) {
	if len([]rune(o.title)) > maxTitle {
		return desk.Refuse(fmt.Sprintf("That is too long for a bell: at most %d letters. Put the rest in a note.", maxTitle)), nil
	}
	if reply, ok := o.keptFromChildren(req); !ok {
		return reply, nil
	}
	if !at.After(req.Now) {
		return desk.Refuse(fmt.Sprintf("%s has passed. Nothing was set.", req.Say(at))), nil
	}
	o.bell = storage.Bell{Household: req.House.ID, Title: o.title, Whom: o.whom, Made: req.Now, Useful: reminders.UsefulOnce, Why: "asked by " + req.Who.Name, Next: at, Elapsed: elapsed, Again: o.bell.Again, Step: o.bell.Step}
	reminders.Classify(&o.bell)
	o.notes = append(o.notes, notes...)
	return o.write(req)
}

// silentOr is an answer, or silence where there is none.
func silentOr(reply desk.Reply) (desk.Reply, error) {
	if reply.Head == "" {
		return desk.Reply{}, desk.ErrSilent
	}
	return reply, nil
}
