package day_test

import (
	"encoding/csv"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"yardbell/calc/day"
)

// TestChecks runs testdata/checks/dayplan-days.csv: days worked by hand.
func TestChecks(t *testing.T) {
	f, err := os.Open("../../testdata/checks/dayplan-days.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	run := map[string]func(*testing.T, map[string]string) string{"lay": checkLay, "anew": checkLay, "window": checkWindow, "margin": checkMargin}
	seen := map[string]bool{}
	for _, r := range rows[1:] {
		require.False(t, seen[r[0]], "%s is there twice", r[0])
		seen[r[0]] = true
		t.Run(r[0], func(t *testing.T) {
			require.NotEmpty(t, r[4])
			require.Contains(t, []string{"computed", "common practice"}, r[5])
			in := map[string]string{}
			for part := range strings.SplitSeq(r[2], ";") {
				name, value, _ := strings.Cut(part, "=")
				in[name] = value
			}
			require.Contains(t, run, r[1])
			require.Equal(t, r[3], run[r[1]](t, in))
		})
	}
	t.Logf("%d rows ran", len(rows)-1)
	require.Len(t, rows, 28)
}

var monday = time.Date(2027, 3, 1, 0, 0, 0, 0, time.UTC)

// moment reads "09:00", or "1.09:00" on the day after.
func moment(t *testing.T, text string) time.Time {
	t.Helper()
	days, clock, ok := strings.Cut(text, ".")
	if !ok {
		days, clock = "0", text
	}
	n, err := strconv.Atoi(days)
	require.NoError(t, err)
	c, err := time.Parse("15:04", clock)
	require.NoError(t, err)
	return monday.AddDate(0, 0, n).Add(time.Duration(c.Hour())*time.Hour + time.Duration(c.Minute())*time.Minute)
}

func written(at time.Time) string {
	if days := int(at.Sub(monday) / (24 * time.Hour)); days > 0 {
		return strconv.Itoa(days) + "." + at.Format("15:04")
	}
	return at.Format("15:04")
}

func stretch(t *testing.T, text string) day.Span {
	t.Helper()
	from, to, ok := strings.Cut(text, "-")
	require.True(t, ok, text)
	return day.Span{From: moment(t, from), To: moment(t, to)}
}

func stretches(t *testing.T, text string) []day.Span {
	if text == "" {
		return nil
	}
	return []day.Span{stretch(t, text)}
}

func number(t *testing.T, text string) int {
	t.Helper()
	n, err := strconv.Atoi(text)
	require.NoError(t, err)
	return n
}

// house reads people "Maren+Ivo/13" and blocks "name from-to open|closed|away who+who|…".
func house(t *testing.T, in map[string]string) day.House {
	h := day.House{
		Now: moment(t, "06:00"), Oven: stretches(t, in["oven"]), Kitchen: stretches(t, in["kitchen"]),
		Light: stretches(t, in["light"]), Wet: stretches(t, in["wet"]),
	}
	for p := range strings.SplitSeq(in["people"], "+") {
		name, age, child := strings.Cut(p, "/")
		someone := day.Person{Name: name, Child: child}
		if child {
			someone.Age = number(t, age)
		}
		h.People = append(h.People, someone)
	}
	for text := range strings.SplitSeq(in["blocks"], "|") {
		f := strings.Fields(text)
		b := day.Block{Name: f[0], Span: stretch(t, f[1])}
		for _, word := range f[2:] {
			switch word {
			case "open":
				b.Open = true
			case "away":
				b.Away = true
			case "closed":
			default:
				b.Who = strings.Split(word, "+")
			}
		}
		h.Blocks = append(h.Blocks, b)
	}
	return h
}

var needs = map[string]day.Need{
	"elsewhere": day.Elsewhere, "lye": day.Lye, "kitchen": day.Kitchen, "oven": day.Oven, "light": day.Light, "dry": day.Dry,
}

// job reads "id minutes word key:value …".
func job(t *testing.T, text string) day.Job {
	f := strings.Fields(text)
	j := day.Job{ID: f[0], Takes: time.Duration(number(t, f[1])) * time.Minute}
	for _, word := range f[2:] {
		key, value, _ := strings.Cut(word, ":")
		switch key {
		case "by":
			j.By = strings.Split(value, "+")
		case "of":
			j.Of = strings.Split(value, "+")
		case "children":
			j.Children = true
		case "least":
			j.LeastAge = number(t, value)
		case "cost":
			j.Cost = number(t, value)
		case "due":
			j.Due = monday.AddDate(0, 0, number(t, value))
		case "part":
			j.Part = time.Duration(number(t, value)) * time.Minute
		case "pin":
			j.Pin = moment(t, value)
		case "was":
			at, who, _ := strings.Cut(value, "/")
			j.Was = []day.Stand{{Span: day.Span{From: moment(t, at), To: moment(t, at).Add(j.Takes)}, Who: []string{who}}}
		default:
			require.Contains(t, needs, word)
			j.Need |= needs[word]
		}
	}
	return j
}

func checkLay(t *testing.T, in map[string]string) string {
	h := house(t, in)
	var jobs []day.Job
	for text := range strings.SplitSeq(in["jobs"], "|") {
		jobs = append(jobs, job(t, text))
	}
	plan, err := day.Lay(h, jobs)
	require.NoError(t, err)
	require.Empty(t, broken(h, jobs, plan))
	require.True(t, plan.Exact)
	var out, left []string
	for _, p := range plan.Placed {
		out = append(out, strings.Join([]string{p.Job, written(p.From), strings.Join(p.Who, "+"), p.Block}, " "))
	}
	for _, l := range plan.Left {
		left = append(left, l.Job)
	}
	slices.Sort(left)
	if len(left) > 0 {
		out = append(out, "left "+strings.Join(left, " "))
	}
	return strings.Join(out, ";")
}

func checkWindow(t *testing.T, in map[string]string) string {
	w, ok, err := day.NextWindow(house(t, in), nil, nil, time.Duration(number(t, in["takes"]))*time.Minute)
	require.NoError(t, err)
	if !ok {
		return "none"
	}
	return written(w.From) + "-" + written(w.To) + " kept " + written(w.Kept.From) + "-" + written(w.Kept.To)
}

func checkMargin(t *testing.T, in map[string]string) string {
	require.Equal(t, number(t, in["before"]), int(day.BeforeLye.Minutes()))
	require.Equal(t, number(t, in["after"]), int(day.AfterLye.Minutes()))
	return "kept"
}
