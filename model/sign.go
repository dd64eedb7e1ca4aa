package model

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"ampwright/calc/unit"
)

// Criterion writes the limit of a check exactly, for a signature to cite:
// "motor-iso min 42000 ohm"; "" for what is not measured.
func (c *Check) Criterion() string {
	if c.Kind != Measurement {
		return ""
	}
	text := c.ID
	for _, side := range []struct {
		word string
		s    *Side
	}{{" min ", c.Min}, {" max ", c.Max}} {
		if side.s != nil {
			text += side.word + strconv.FormatFloat(side.s.Value, 'g', -1, 64)
		}
	}
	return text + " " + c.Unit
}

// CriterionText writes a criterion, as Criterion gives it, for a person: its figures
// rounded as elsewhere. What is no criterion stays as it is.
func CriterionText(criterion string, st unit.Style) string {
	words := strings.Fields(criterion)
	if len(words) < 4 || len(words)%2 == 1 {
		return criterion
	}
	in := words[len(words)-1]
	for i := 1; i+2 < len(words); i += 2 {
		v, err := strconv.ParseFloat(words[i+1], 64)
		if err != nil || words[i] != "min" && words[i] != "max" {
			return criterion
		}
		words[i+1] = unit.Format(v, in, st)
	}
	return strings.Join(words[:len(words)-1], " ")
}

// standsOn names the entry a check is cleared by: a concession or the current
// reading; the zero ID if there is none.
func (c *Check) standsOn() ID {
	switch {
	case c.Verdict == Conceded:
		return c.Conceded.ID
	case c.Current != nil:
		return c.Current.ID
	}
	return ID{}
}

// covers reports whether a concession was signed on what is there: not on an
// earlier reading, nor before the first, so that two devices that meet never
// open together what neither had open.
func (k *ConcessionLine) covers(c *Check) bool {
	switch {
	case c.Current == nil:
		return k.On == ID{} // else the reading it was signed on was struck out
	case k.Untaken:
		return false
	case k.On != ID{}:
		return k.On == c.Current.ID
	}
	return k.At.Unix >= c.Current.At.Unix // written by an earlier version
}

// released returns the checks that a release of point is about.
func (b *Build) released(point string) []*Check {
	if c := b.check[point]; c != nil {
		return []*Check{c}
	}
	var list []*Check
	for _, l := range b.Lists {
		for _, chunk := range l.Chunks {
			if chunk.ID != point {
				continue
			}
			for _, s := range chunk.Steps {
				if c := b.check[s]; c != nil {
					list = append(list, c)
				}
			}
		}
	}
	return list
}

// changedSince says what is no longer as it was when a release was signed.
func (b *Build) changedSince(r *ReleaseLine) []string {
	checks := b.released(r.Point)
	if len(checks) == 0 {
		return []string{r.Point + " is no longer part of the plan"}
	}
	var changed []string
	for _, c := range checks {
		if text := b.changedCheck(r, c); text != "" {
			changed = append(changed, text)
		}
	}
	return changed
}

func (b *Build) changedCheck(r *ReleaseLine, c *Check) string {
	if !c.Applies {
		return ""
	}
	on := c.standsOn()
	if on == (ID{}) {
		return c.ID + ": no reading is left"
	}
	if k := b.cause(c, r.At.Unix, &r.Fact, maxUnix); k != nil {
		return c.ID + ": " + k.Title
	}
	if len(r.On) > 0 && !slices.Contains(r.On, on) || len(r.On) == 0 && r.At.Unix < b.standsSince(c) {
		return c.ID + ": taken again since"
	}
	if len(r.On) == 0 { // written by an earlier version, which cited no limits
		return b.limitWritten(c, r.At.Unix)
	}
	if now := c.Criterion(); now != "" && !slices.Contains(r.Limits, now) {
		for _, then := range r.Limits {
			if rest, ok := strings.CutPrefix(then, c.ID+" "); ok {
				rest, now = strings.TrimSpace(rest), strings.TrimPrefix(now, c.ID+" ")
				if x, y := b.limitWords(c, rest), b.limitWords(c, now); x != y { // else rounding hides what changed
					rest, now = x, y
				}
				return fmt.Sprintf("%s: limit then %s, now %s", c.ID, rest, now)
			}
		}
		return c.ID + ": its limit was not cited"
	}
	return ""
}

// limitWords writes the figures of a criterion of a check for a person.
func (b *Build) limitWords(c *Check, figures string) string {
	return strings.TrimPrefix(CriterionText(c.ID+" "+figures, b.Settings.Style()), c.ID+" ")
}

func (b *Build) standsSince(c *Check) int64 {
	if c.Verdict == Conceded {
		return c.Conceded.At.Unix
	}
	return c.Current.At.Unix
}

// limitWritten says when the limit of a check was written after a moment.
func (b *Build) limitWritten(c *Check, unix int64) string {
	for _, side := range []string{"min", "max"} {
		r := b.regs.get("check", c.ID, side)
		if r == nil {
			continue
		}
		for i := range r.Writes {
			if w := &r.Writes[i]; !w.Struck && w.At.Unix > unix {
				return c.ID + ": its limit was changed on " + w.At.Time().Format("2006-01-02")
			}
		}
	}
	return ""
}

// sign fills in what a release of checks is signed on.
func (r *Release) sign(checks []*Check) {
	for _, c := range checks {
		if c == nil || !c.Applies {
			continue
		}
		if on := c.standsOn(); on != (ID{}) && !slices.Contains(r.On, on) {
			r.On = append(r.On, on)
		}
		if text := c.Criterion(); text != "" {
			r.Limits = append(r.Limits, text)
		}
	}
}

// sameName reports whether two names are one, whatever their case and spaces.
func sameName(a, b string) bool {
	return strings.EqualFold(strings.Join(strings.Fields(a), ""), strings.Join(strings.Fields(b), ""))
}
