package garden

import (
	"fmt"
	"slices"
	"strings"

	"yardbell/calc/sowing"
	"yardbell/handlers/desk"
	"yardbell/handlers/phrase"
	"yardbell/storage"
)

// plant is a crop as this household grows it: the table's figures with its own in
// their place.
type plant struct {
	sowing.Crop
	table   sowing.Crop
	variety string
	own     *storage.OwnCrop // the household's figures, nil for none
	called  string           // the crop's name in answers
}

// label is what the plant is called in answers: "tomato", "Ruby tomato".
func (p plant) label() string {
	if p.variety != "" {
		return p.variety + " " + p.called
	}
	return p.called
}

// plantOf puts the household's figures in place of the table's: those for the crop,
// and before them those for the variety.
func plantOf(req *desk.Request, crop, kind string) (plant, error) {
	c, ok := sowing.Named(crop)
	if !ok {
		return plant{}, fmt.Errorf("no crop %q in the table", crop)
	}
	p := plant{Crop: c, table: c, variety: kind, called: called(req, crop)}
	all, err := req.Tx.OwnCrops(req.House.ID)
	if err != nil {
		return p, err
	}
	for _, name := range []string{"", kind} {
		for _, o := range all {
			if o.Crop == crop && strings.EqualFold(o.Variety, name) && (name != "" || o.Variety == "") {
				p.own = &o
				p.Crop = withOwn(p.Crop, o)
			}
		}
		if kind == "" {
			break
		}
	}
	return p, nil
}

func withOwn(c sowing.Crop, o storage.OwnCrop) sowing.Crop {
	if o.DaysMin.Valid {
		c.MaturityMin, c.MaturityMax = int(o.DaysMin.Int64), int(o.DaysMax.Int64)
	}
	if o.FromOut.Valid {
		c.FromTransplant = o.FromOut.Int64 != 0
	}
	for _, w := range []struct {
		of *sowing.Weeks
		is bool
		n  float64
	}{
		{&c.StartMin, o.StartMin.Valid, o.StartMin.Float64},
		{&c.StartMax, o.StartMax.Valid, o.StartMax.Float64},
		{&c.Transplant, o.SetOut.Valid, o.SetOut.Float64},
		{&c.Direct, o.SowOut.Valid, o.SowOut.Float64},
	} {
		if w.is {
			*w.of = sowing.Weeks{N: w.n, Known: true}
		}
	}
	for _, f := range []struct {
		of *float64
		is bool
		v  float64
	}{
		{&c.Germination, o.Germination.Valid, o.Germination.Float64},
		{&c.SeedLife, o.Life.Valid, o.Life.Float64},
		{&c.InRow, o.InRow.Valid, o.InRow.Float64},
		{&c.RowGap, o.RowGap.Valid, o.RowGap.Float64},
	} {
		if f.is {
			*f.of = f.v
		}
	}
	return c
}

// cropsSaid are the crops that a line names, in its order. Reply is a question when a
// word may be several of them.
func cropsSaid(req *desk.Request) ([]plant, desk.Reply, error) {
	mine, err := varieties(req.Tx, req.House.ID)
	if err != nil {
		return nil, desk.Reply{}, err
	}
	var out []plant
	for _, s := range req.Reading.Terms("crops") {
		t := s.Value.(phrase.Term)
		v, reply, err := oneOf(req, mine, s, t)
		if err != nil || reply.Head != "" {
			return nil, reply, err
		}
		p, err := plantOf(req, v.crop, v.name)
		if err != nil {
			return nil, desk.Reply{}, err
		}
		out = append(out, p)
	}
	return distinct(out), desk.Reply{}, nil
}

// distinct drops what is named twice, and the crop of a variety that is named too: the
// Ruby tomatoes are no other tomatoes.
func distinct(all []plant) []plant {
	var out []plant
	for i, p := range all {
		again := func(j int, o plant) bool {
			return o.table.Name == p.table.Name && (o.variety == p.variety && j < i || p.variety == "" && o.variety != "")
		}
		if !anyAt(all, again) {
			out = append(out, p)
		}
	}
	return out
}

func anyAt(all []plant, is func(int, plant) bool) bool {
	for i, p := range all {
		if is(i, p) {
			return true
		}
	}
	return false
}

// oneOf settles which crop a word is: of several that it may be, the one that the
// household grows.
func oneOf(req *desk.Request, mine []variety, s phrase.Span, t phrase.Term) (variety, desk.Reply, error) {
	if t.ID > 0 && int(t.ID) <= len(mine) {
		return mine[t.ID-1], desk.Reply{}, nil
	}
	if len(t.Others) == 0 {
		return variety{crop: t.Name}, desk.Reply{}, nil
	}
	names := append([]string{t.Name}, t.Others...)
	grown, err := grownHere(req)
	if err != nil {
		return variety{}, desk.Reply{}, err
	}
	ours := slices.DeleteFunc(slices.Clone(names), func(n string) bool { return !slices.Contains(grown, n) })
	if len(ours) == 1 {
		return variety{crop: ours[0]}, desk.Reply{}, nil
	}
	var buttons []storage.Button
	var said []string
	for _, n := range names {
		label := called(req, n)
		if v, ok := byLabel(mine, n); ok {
			label = v.name + " " + called(req, v.crop)
		}
		said = append(said, label)
		buttons = append(buttons, desk.Labelled(label, req.Text[:s.Start]+label+req.Text[s.End:]))
	}
	return variety{}, desk.AskBack(fmt.Sprintf("Which is %s: %s?", desk.Quote(s.Text), either(said)), buttons...), nil
}

func byLabel(mine []variety, label string) (variety, bool) {
	for _, v := range mine {
		if v.name+" "+plain(v.crop) == label {
			return v, true
		}
	}
	return variety{}, false
}

func either(names []string) string {
	if len(names) < 2 {
		return desk.List(names)
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}

// grownHere are the crops of the table that the household wants, has seed of or has
// sown, each once.
func grownHere(req *desk.Request) ([]string, error) {
	var out []string
	add := func(crop string) {
		if !slices.Contains(out, crop) {
			out = append(out, crop)
		}
	}
	year := req.Wall.Year()
	for y := year - 1; y <= year+1; y++ {
		wanted, err := req.Tx.WantedIn(req.House.ID, y)
		if err != nil {
			return nil, err
		}
		for _, w := range wanted {
			add(w.Crop)
		}
	}
	mine, err := varieties(req.Tx, req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, v := range mine {
		add(v.crop)
	}
	packets, err := req.Tx.Packets(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, p := range packets {
		add(p.Crop)
	}
	sowings, err := req.Tx.Sowings(req.House.ID)
	if err != nil {
		return nil, err
	}
	for _, s := range sowings {
		add(s.Crop)
	}
	return out, nil
}

// cropSaid is the one crop that a line is about. Reply says why there is none.
func cropSaid(req *desk.Request, example string) (plant, desk.Reply, error) {
	all, reply, err := cropsSaid(req)
	if err != nil || reply.Head != "" {
		return plant{}, reply, err
	}
	switch len(all) {
	case 0:
		return plant{}, desk.AskBack("Which crop? For example: " + example), nil
	case 1:
		return all[0], desk.Reply{}, nil
	}
	var names []string
	for _, p := range all {
		names = append(names, p.label())
	}
	return plant{}, desk.AskBack("One crop at a time: " + either(names) + "?"), nil
}
