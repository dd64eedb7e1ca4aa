package bring

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"ampwright/calc/unit"
	"ampwright/model"
)

// stretch is the longest stretch of work that hours without a day are cut into,
// in minutes: a long day in a garage (common practice, no published source).
const stretch = 10 * 60

// mostTaken is the most hours that one line may have taken.
const mostTaken = 500

// noArea is how the area of lines without one is asked for and remembered.
const noArea = "lines without an area"

// cutTick takes the box off a text: "[x] brakes bled".
func cutTick(text string) (rest, mark string, ok bool) {
	inside, mark, thing, ok := ticked(text)
	switch {
	case !ok:
		return strings.TrimSpace(strings.TrimLeft(text, "-*•")), "", false
	case inside != "" || strings.ContainsAny(mark, "☑☒✓✔■"):
		return thing, "x", true
	}
	return thing, "", true
}

func isTicked(s string) bool { _, _, ok := cutTick(s); return ok }

// A todoLine is a line of a list of things to do while it is read.
type todoLine struct {
	*draft
	what, area, note, who string
	done                  bool
	day                   string // when it was done, or today
	dated                 bool
	taken                 int // minutes, in all
	estimate              [3]float64
	estimated             bool
	nth                   int // of the lines that say the same, from 1
}

// key is the name of what a line becomes. What changes as a list is kept up, the
// hours and whether it is done, is no part of it.
func (t *todoLine) key(more ...string) string {
	return model.RowKey(Todo, append([]string{model.AreaKey(t.what), model.AreaKey(t.area)}, more...), t.nth)
}

// todo reads a line of a list of things to do.
func (r *reader) todo(d *draft, area string) {
	text, mark, marked := cutTick(r.get(d.row, "what"))
	if text == "" {
		d.out("nothing to do stands in it")
		return
	}
	t := &todoLine{draft: d, what: text, area: area, note: r.get(d.row, "note"), who: r.get(d.row, "who"), day: r.desk.Now.Format(time.DateOnly)}
	switch status := r.get(d.row, "done"); {
	case status == "" && marked:
		t.done = mark != ""
	default:
		r.status(t, status)
	}
	if date := r.get(d.row, "date"); date != "" && (t.done || r.get(d.row, "hours") != "") {
		t.day, _ = r.day(d, "date", date)
		t.dated = true
	}
	if taken := r.get(d.row, "hours"); taken != "" && taken != "-" && taken != "–" {
		h, err := readSpan(taken, r.desk.Mark)
		switch {
		case err != nil:
			d.wrong("hours: %v", err)
		case h > mostTaken:
			d.wrong("hours: %q, want at most %d for one line: log them in parts with ampwright hours", taken, mostTaken)
		}
		t.taken = int(math.Round(h * 60))
	}
	if est := r.get(d.row, "estimate"); est != "" && est != "-" && est != "–" {
		var err error
		if t.estimate, err = readEstimate(est, r.desk.Mark); err != nil {
			d.wrong("estimate: %v", err)
		}
		t.estimated = true
	}
	if d.State == Wrong || d.State == Out {
		return
	}
	r.upcoming(d, "date", t.day)
	said := model.AreaKey(t.what) + "\x00" + model.AreaKey(area)
	r.seen[said]++
	if t.nth = r.seen[said]; t.nth > 1 {
		d.odd("the same line stands above: meant twice, or typed twice?")
	}
	if d.State != Wrong {
		r.place(t)
	}
}

// status reads what stands under "done?": a word, a share or a day.
func (r *reader) status(t *todoLine, text string) {
	w := plainWord(text)
	if day, ok := readDay(text); ok && text != "" {
		if at, ok := day.day(r.monthFirst, r.desk.Now.Year()); ok {
			t.done, t.dated, t.day = true, true, at.Format(time.DateOnly)
		}
		return
	}
	if share, ok := strings.CutSuffix(strings.TrimSpace(text), "%"); ok {
		n, err := unit.ParseNumber(strings.TrimSpace(share), r.desk.Mark)
		if err != nil {
			t.wrong("done “%s”: want yes, no or the day it was done", text)
		}
		t.done = n.Float() >= 100
		return
	}
	n, err := unit.ParseNumber(text, r.desk.Mark)
	switch {
	case yes(text), slices.Contains([]string{"finished", "complete", "completed", "closed", "ready"}, w):
		t.done = true
	case w == "", err == nil && n.Float() < 1, slices.Contains([]string{
		"no", "n", "open", "false", "todo", "to do", "not yet", "not done", "pending", "waiting", "later", "blocked", "next",
		"in progress", "in work", "in hand", "started", "begun", "doing", "half", "half done", "partly", "nearly",
	}, w):
	case slices.Contains([]string{"not needed", "dropped", "cancelled", "canceled", "n a", "na", "skip", "skipped"}, w):
		t.out("not needed, as the list says")
	default:
		t.wrong("done “%s”: want yes, no or the day it was done", text)
	}
}

// readSpan reads a time worked or to be worked in hours; it may be longer than a
// day.
func readSpan(text string, m unit.Mark) (float64, error) {
	if d, err := unit.ParseNumber(text, m); err == nil {
		if h := d.Float(); h >= 0 && h <= 10000 {
			return h, nil
		}
		return 0, fmt.Errorf("%q is out of range, want 0 to 10000 hours", text)
	}
	if head, ok := strings.CutSuffix(strings.ToLower(strings.TrimSpace(text)), "h"); ok {
		if d, err := unit.ParseNumber(strings.TrimSpace(head), m); err == nil && d.Float() >= 0 && d.Float() <= 10000 {
			return d.Float(), nil
		}
	}
	minutes, err := readHours(text, m)
	return float64(minutes) / 60, err
}

// readEstimate reads "3", "2-4 h", "2 to 4", "1/2/4" or "90 min" as the low, the
// likely and the high figure; the likely one of two is their mean.
func readEstimate(text string, m unit.Mark) (e [3]float64, err error) {
	plain := strings.TrimSpace(strings.TrimLeft(strings.ToLower(text), "~≈ "))
	for _, w := range []string{"approx.", "approx", "about", "ca.", "ca", "c."} {
		plain = strings.TrimSpace(strings.TrimPrefix(plain, w))
	}
	parts := strings.FieldsFunc(strings.NewReplacer(" to ", "/", "–", "/", "—", "/", "-", "/").Replace(plain), func(r rune) bool { return r == '/' })
	bad := fmt.Errorf("%q is no estimate, want hours such as 3, 2-4 or 1/2/4", text)
	if len(parts) == 0 || len(parts) > 3 {
		return e, bad
	}
	last := strings.TrimLeft(parts[len(parts)-1], "0123456789.,½¼¾ ")
	var h []float64
	for _, p := range parts {
		p = strings.TrimSpace(p)
		if strings.TrimLeft(p, "0123456789.,½¼¾ ") == "" && !strings.ContainsAny(last, "0123456789") {
			p += " " + last // 2-4 h
		}
		one, err := readSpan(strings.TrimSpace(p), m)
		if err != nil {
			return e, bad
		}
		h = append(h, one)
	}
	switch len(h) {
	case 1:
		e = [3]float64{h[0], h[0], h[0]}
	case 2:
		e = [3]float64{h[0], (h[0] + h[1]) / 2, h[1]}
	default:
		e = [3]float64{h[0], h[1], h[2]}
	}
	if e[0] > e[1] || e[1] > e[2] {
		return e, fmt.Errorf("%q does not ascend, want low, likely and high hours", text)
	}
	return e, nil
}

// place finds the task that a line means, or the stage that gets a new one.
func (r *reader) place(t *todoLine) {
	name := taskName(t)
	if b := r.build.Task(name); b != nil { // this line added it
		r.onTask(t, b, true)
		return
	}
	is, said := "", false
	if own, _ := r.saidOf(t.what); own != "" {
		is, said = r.areaOf(t.what).Is, true
	} else if b := r.sameTask(t, r.build.Tasks, t.area == ""); t.area == "" && b != nil {
		r.onTask(t, b, true)
		return
	} else if t.area == "" {
		is = r.areaOf(noArea).Is
	} else {
		is = r.areaOf(t.area).Is
	}
	switch {
	case is == "":
		t.Says = "waits for where it belongs"
	case is == "none":
		r.onTask(t, nil, false)
	case r.build.Task(is) != nil:
		b := r.build.Task(is)
		r.onTask(t, b, said || model.AreaKey(b.Title) == model.AreaKey(t.what))
	default:
		if s := r.stage(is); s != nil && !said {
			if b := r.sameTask(t, s.Tasks, true); b != nil {
				r.onTask(t, b, true)
				return
			}
		}
		r.newTask(t, is, name)
	}
}

func (r *reader) stage(id string) *model.Stage {
	for _, s := range r.build.Stages {
		if s.ID == id {
			return s
		}
	}
	return nil
}

// sameTask returns the task that a line is called like: by its name or title, or
// by two words and half of the title.
func (r *reader) sameTask(t *todoLine, tasks []*model.Task, odd bool) *model.Task {
	w := model.AreaKey(t.what)
	tasks = slices.DeleteFunc(slices.Clone(tasks), func(b *model.Task) bool { return t.anotherAdded(b.ID) })
	titles := make([]string, len(tasks))
	for i, b := range tasks {
		if titles[i] = b.Title; b.ID == w || model.AreaKey(b.Title) == w {
			return b
		}
	}
	n, ok := nearest(t.what, titles)
	if !ok {
		return nil
	}
	if both := shared(t.what, titles[n]); both < 2 || 2*both < len(nameWords(titles[n])) {
		return nil
	}
	if odd {
		t.odd("taken for %s, %s", tasks[n].ID, tasks[n].Title)
	}
	return tasks[n]
}

// anotherAdded reports whether a task was added by a line above that says the same.
func (t *todoLine) anotherAdded(id string) bool {
	above := *t
	for above.nth--; above.nth > 0; above.nth-- {
		if taskName(&above) == id {
			return true
		}
	}
	return false
}

// taskName makes the short name of the task that a line adds: the same on every
// device.
func taskName(t *todoLine) string {
	words := strings.FieldsFunc(strings.ToLower(t.what), func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= '0' && r <= '9') })
	base := strings.Join(words[:min(3, len(words))], "-")
	return strings.TrimLeft(base[:min(30, len(base))]+"-"+t.key()[:6], "-")
}

// newTask adds a task, with the hours it has taken.
func (r *reader) newTask(t *todoLine, stage, name string) {
	values := map[string][]string{"stage": {stage}, "title": {t.what}, "key": {name}}
	t.Says = fmt.Sprintf("a new task of %s, %s", stage, name)
	if t.estimated {
		values["estimate"] = []string{fmt.Sprintf("%s/%s/%s", hoursOf(t.estimate[0]), hoursOf(t.estimate[1]), hoursOf(t.estimate[2]))}
		t.Says += ", estimate " + values["estimate"][0] + " h"
	} else if !t.done {
		t.Why = append(t.Why, "no estimate stands in it: the forecast counts no hours for it")
	}
	who := ""
	if t.who != "" && t.taken == 0 {
		who = "for " + t.who
	}
	if note := join(who, t.note); note != "" {
		values["note"] = []string{note}
	}
	t.Row = &model.Row{Key: t.key("task"), Line: t.Number, Wish: "add-task", Values: values}
	r.takenOn(t, name, nil, t.done, "")
}

// onTask books what a line says on a task that is there, or on none. whole: the
// line is the task, not a part of it.
func (r *reader) onTask(t *todoLine, b *model.Task, whole bool) {
	id, note := "", join(t.what, t.note)
	if b != nil {
		id = b.ID
	}
	if whole {
		note = t.note
		if model.AreaKey(b.Title) != model.AreaKey(t.what) {
			note = join(t.what, t.note)
		}
		if t.estimated && (b.Estimate != model.Hours3{Low: t.estimate[0], Likely: t.estimate[1], High: t.estimate[2]}) {
			t.Why = append(t.Why, fmt.Sprintf("its estimate stays %s h; to change it: ampwright estimate", b.Estimate))
		}
	}
	finish := whole && t.done && b.State != model.Finished
	if finish && takenUp(b) {
		t.odd("%s was finished and taken up again since: it stays open", b.ID)
		finish = false
	}
	if finish {
		var open []string
		for _, c := range b.Checks {
			if c.Applies && !c.Cleared() {
				open = append(open, c.ID)
			}
		}
		if len(open) > 0 {
			t.odd("finished, but not cleared: %s", strings.Join(open, ", "))
		}
	}
	r.takenOn(t, id, b, finish, note)
	if t.Row != nil {
		return
	}
	where := "the task " + id
	if id == "" {
		where = "no task"
	}
	if whole || t.taken > 0 {
		t.State, t.Says = Here, where
		t.Why = append(t.Why, "in the logbook already")
		return
	}
	text := "to do: " + t.what
	if t.done {
		text = "done: " + t.what
	}
	values := map[string][]string{"text": {join(text, t.note)}, "at": {at(t.day, -1)}}
	if id != "" {
		values["task"] = []string{id}
	}
	t.Says = fmt.Sprintf("a note on %s: %s", where, text)
	t.Row = &model.Row{Key: t.key("note", text), Line: t.Number, Wish: "note", Values: values}
	if r.build.HasRow(t.Row.Key) {
		t.State, t.Why = Here, append(t.Why, "in the logbook already")
	}
}

// takenUp reports whether a task was finished before and is open again.
func takenUp(b *model.Task) bool {
	return b.StateField != nil && slices.ContainsFunc(b.StateField.Writes, func(w model.Write) bool { return w.Value == "finished" && !w.Struck })
}

// takenOn books the hours that a line has taken, less those that it had when it
// was brought in before, and the finish. b is nil for no task or a new one.
func (r *reader) takenOn(t *todoLine, task string, b *model.Task, finish bool, note string) {
	// Each stretch is named after the hours that it brings the line to.
	had := 0
	if b != nil || task == "" {
		had = r.had(t, task)
	}
	rest := t.taken - had
	if r.build.HasRow(t.key("hours", strconv.Itoa(t.taken))) {
		rest = 0 // also where it was put right by hand since
	}
	if rest < 0 {
		t.odd("the logbook has %s from this line: nothing is taken back", r.hoursText(had))
	}
	if rest > 0 && had > 0 {
		t.Why = append(t.Why, fmt.Sprintf("%s of %s are in the logbook", r.hoursText(had), r.hoursText(t.taken)))
	}
	if rest > 0 && !t.dated {
		t.odd("no day stands in it: its hours are booked up to %s", t.day)
	}
	if rest > 0 && b != nil && had == 0 && b.Logged > 0 {
		t.odd("%s has %s already: are these others?", b.ID, r.hoursText(int(b.Logged)))
	}
	day, _ := time.Parse(time.DateOnly, t.day)
	parts := (max(rest, 0) + stretch - 1) / stretch
	if parts > 1 {
		t.odd("%s are cut into %d stretches on the days up to %s", r.hoursText(rest), parts, t.day)
	}
	for i := range parts {
		minutes := rest*(i+1)/parts - rest*i/parts
		had += minutes
		on := day.AddDate(0, 0, i+1-parts).Format(time.DateOnly)
		values := map[string][]string{"hours": {fmt.Sprintf("%d min", minutes)}, "at": {at(on, -1)}}
		for name, v := range map[string]string{"task": task, "who": t.who, "note": note} {
			if v != "" {
				values[name] = []string{v}
			}
		}
		if task != "" && r.opt.Changes != "" {
			values["changes"] = []string{r.opt.Changes}
		}
		onto := task
		if task == "" {
			onto = "no task"
		}
		says := fmt.Sprintf("%s on %s, %s", r.hoursText(minutes), onto, values["at"][0])
		if finish && i == parts-1 {
			values["finish"] = []string{"yes"}
			says += ", finished"
		}
		r.becomes(t, says, &model.Row{Key: t.key("hours", strconv.Itoa(had)), Line: t.Number, Wish: "hours", Values: values})
	}
	if finish && parts == 0 {
		r.becomes(t, task+" finished, "+t.day, &model.Row{Key: t.key("finish"), Line: t.Number, Wish: "finish", Values: map[string][]string{"task": {task}, "at": {at(t.day, -1)}}})
	}
}

// had returns how many of a line's minutes are in the logbook.
func (r *reader) had(t *todoLine, task string) (minutes int) {
	for again := true; again; {
		again = false
		for _, w := range r.build.Hours.Work {
			if w.Task == task && w.Minutes > 0 && r.build.HasRow(t.key("hours", strconv.Itoa(minutes+int(w.Minutes)))) {
				minutes, again = minutes+int(w.Minutes), true
			}
		}
	}
	return minutes
}

// becomes adds what a line becomes: as its own, or behind it.
func (r *reader) becomes(t *todoLine, says string, row *model.Row) {
	if t.Row == nil {
		t.Says, t.Row = says, row
		return
	}
	t.more = append(t.more, Line{Number: t.Number, State: New, Says: says, Row: row})
}

func hoursOf(h float64) string {
	return strconv.FormatFloat(math.Round(h*100)/100, 'f', -1, 64)
}

// heading reads a line that names the area of those below it: words alone, in a
// list that has no column of areas.
func (r *reader) heading(row int, boxes bool) (string, bool) {
	if _, ok := r.cols["area"]; ok || r.kind.name != Todo {
		return "", false
	}
	for c := range r.rows[row] {
		if c != r.cols["what"] && cell(r.rows[row], c) != "" {
			return "", false
		}
	}
	text := r.get(row, "what")
	if isTicked(text) || text == "" {
		return "", false
	}
	name := strings.TrimSpace(strings.Trim(text, "#:*_ "))
	is, _ := r.areaIs(name)
	exact := is != "" && (r.stage(is) != nil && (is == model.AreaKey(name) || model.AreaKey(r.stage(is).Title) == model.AreaKey(name)))
	return name, boxes || exact || strings.HasPrefix(text, "#") || strings.HasSuffix(text, ":")
}
