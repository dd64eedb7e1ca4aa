package record

import (
	"fmt"
	"slices"
	"strings"

	"ampwright/model"
)

// An Audience is whom a record is for.
type Audience string

const (
	Inspector    Audience = "inspector"
	Registration Audience = "registration"
	Insurer      Audience = "insurer"
	Owner        Audience = "owner" // the second owner
	Responder    Audience = "responder"
	Recycler     Audience = "recycler"
)

// Audiences are all of them, in the order in which they are offered.
func Audiences() []Audience {
	return []Audience{Inspector, Registration, Insurer, Owner, Responder, Recycler}
}

// ParseAudience reads what a person typed.
func ParseAudience(text string) (Audience, error) {
	a := Audience(strings.ToLower(strings.TrimSpace(text)))
	if slices.Contains(Audiences(), a) {
		return a, nil
	}
	var all []string
	for _, a := range Audiences() {
		all = append(all, string(a))
	}
	return "", fmt.Errorf("audience %q: want one of %s", text, strings.Join(all, ", "))
}

// Title is what the audience is called on a page.
func (a Audience) Title() string {
	switch a {
	case Owner:
		return "second owner"
	case Responder:
		return "responder's card"
	}
	return string(a)
}

// Card reports whether the record is one sheet in large print.
func (a Audience) Card() bool { return a == Responder }

// documentType is the field of the title block.
func (a Audience) documentType() string {
	if a.Card() {
		return "card for responders"
	}
	return "build record for the " + a.Title()
}

// sections are what an audience is handed, in order. Hours and money are
// left out unless asked for.
func (a Audience) sections() []func(*maker) Section {
	switch a {
	case Registration:
		return []func(*maker) Section{(*maker).state, (*maker).identity, (*maker).mass, (*maker).power, (*maker).pack, (*maker).checks, (*maker).signOffs,
			(*maker).nonconformances, (*maker).photos, (*maker).hours, (*maker).money, (*maker).cautions, (*maker).proof}
	case Insurer:
		return []func(*maker) Section{(*maker).state, (*maker).identity, (*maker).charging, (*maker).pack, (*maker).checks, (*maker).signOffs, (*maker).nonconformances,
			(*maker).punch, (*maker).photos, (*maker).hours, (*maker).money, (*maker).cautions, (*maker).proof}
	case Owner:
		return []func(*maker) Section{(*maker).state, (*maker).identity, (*maker).mass, (*maker).power, (*maker).pack, (*maker).wiring, (*maker).charging,
			(*maker).checks, (*maker).signOffs, (*maker).nonconformances, (*maker).punch, (*maker).service, (*maker).cells, (*maker).points, (*maker).instruments,
			(*maker).photos, (*maker).hours, (*maker).money, (*maker).cautions, (*maker).proof}
	case Responder:
		return []func(*maker) Section{(*maker).card, (*maker).doNotCut, (*maker).fire, (*maker).sketch, (*maker).proof}
	case Recycler:
		return []func(*maker) Section{(*maker).state, (*maker).identity, (*maker).pack, (*maker).checks, (*maker).nonconformances, (*maker).cells,
			(*maker).hours, (*maker).money, (*maker).fire, (*maker).cautions, (*maker).proof}
	}
	return []func(*maker) Section{(*maker).state, (*maker).identity, (*maker).mass, (*maker).pack, (*maker).wiring, (*maker).checks, (*maker).signOffs, (*maker).nonconformances,
		(*maker).punch, (*maker).cells, (*maker).points, (*maker).instruments, (*maker).photos, (*maker).hours, (*maker).money, (*maker).cautions,
		(*maker).proof}
}

// forRegistration and forRecycler are checks of the built-in plans that these
// two ask for (common practice, no published source). Of another plan they get
// the points that somebody else reviews or sees, and the sorting of cells.
var (
	forRegistration = []string{
		"frame-number-photo", "front-load-found", "rear-load-found", "gross-forecast", "rear-share-calc", "two-independent-brakes", "stop-front", "stop-rear",
		"iso-harness", "iso-phases", "iso-live", "iso-pack", "bond-resistance", "fuse-present", "disconnect-reach", "lamps-legal", "lamps-horn", "top-speed-calc",
		"chassis-photo", "volt-class", "stop-kart", "iso-kart", "bond-kart",
	}
	forRecycler = []string{"modules-sound", "module-volts", "group-spread", "group-volts", "balance-spread", "pack-capacity", "pack-label-photo", "iso-pack",
		"cell-ir-kart", "cell-capacity-kart", "spread-kart"}
)

// wants reports whether the audience is shown a check.
func (a Audience) wants(c *model.Check) bool {
	switch a {
	case Registration:
		return c.Point == "review" || c.Witness() || slices.Contains(forRegistration, c.ID)
	case Insurer:
		return c.Hold()
	case Recycler:
		return c.ScreenNeed != "" || slices.Contains(forRecycler, c.ID)
	}
	return true
}

// which says which checks are shown.
func (a Audience) which() string {
	switch a {
	case Registration:
		return "Shown are the checks on identity, mass, brakes, insulation, bonding and lamps, and the points that another person reviews or witnesses."
	case Insurer:
		return "Shown are the hold, witness and review points: those that work may not pass unchecked."
	case Recycler:
		return "Shown are the checks on the cells and the finished pack."
	}
	return ""
}
