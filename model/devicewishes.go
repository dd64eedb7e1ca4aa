package model

import (
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// maxAdmit is how many entries one admission names; more take several.
const maxAdmit = 256

// device finds a device by its name or the first letters of its replica.
func (x *wishing) device(name string) (Device, bool) {
	v := x.text(name)
	if v == "" {
		return Device{}, false
	}
	devices := x.log.devices(x.log.garage())
	var fits []Device
	for _, d := range devices {
		if strings.EqualFold(d.Name, v) || strings.EqualFold(Label(devices, d.Replica), v) || len(v) >= 4 && strings.HasPrefix(d.Replica.String(), strings.ToLower(v)) {
			fits = append(fits, d)
		}
	}
	var list []string
	switch len(fits) {
	case 1:
		return fits[0], true
	case 0:
		for _, d := range devices {
			list = append(list, fmt.Sprintf("%s (%.8s)", d.Name, d.Replica))
		}
		x.fail(name, v, "is not a device of this garage; there is "+strings.Join(list, ", "))
	default:
		for _, d := range fits {
			list = append(list, fmt.Sprintf("%.8s", d.Replica))
		}
		x.fail(name, v, "fits "+strings.Join(list, " and ")+": give the first letters of one")
	}
	return Device{}, false
}

// MaxName is how many letters a device or a person may be called by.
const MaxName = 40

func doNameDevice(x *wishing) {
	d, ok := x.device("device")
	name := x.text("name")
	switch {
	case !ok:
	case utf8.RuneCountInString(name) > MaxName:
		x.fail("name", name, fmt.Sprintf("has %d letters, want at most %d", utf8.RuneCountInString(name), MaxName))
	case name == d.Name:
		x.fail("", "", "nothing was changed")
	default:
		x.set(WhenOf(x.desk.Now), "device", d.Replica.String(), "name", name, "")
	}
}

func doStrikeOff(x *wishing) {
	at := x.moment("at", x.desk.Now)
	d, ok := x.device("device")
	if !ok {
		return
	}
	c := &ReplicaClose{At: at, Replica: d.Replica, Reason: x.text("reason")}
	switch v := x.text("upto"); {
	case v == "" && d.Closed != nil:
		x.fail("device", x.text("device"), fmt.Sprintf("was struck off by %s on %s already: upto moves the cut", d.Closed.Person, dayText(d.Closed.ReplicaClose.At)))
	case v == "" && d.Fork != nil:
		x.fail("upto", "", fmt.Sprintf("the device was duplicated and its lines end in %s: want the last entry that counts", headsText(d.Fork.Heads)))
	case v == "":
		c.Upto = x.log.Heads()[d.Replica][0].ID
	case v != "none":
		var own []uint32
		for i := range x.log.items {
			if x.log.replicas[x.log.items[i].rep].id == d.Replica {
				own = append(own, uint32(i))
			}
		}
		if n, ok := x.among(own, "upto", v, "want the name of an entry of "+d.Name+" as the logbook shows it, at least its first 4 letters, or none"); ok {
			c.Upto = x.log.items[n].id
		}
	}
	x.write(c)
}

func doLetIn(x *wishing) {
	at := x.moment("at", x.desk.Now)
	d, all := x.device("device")
	var back []uint32 // what is held
	for i := range x.log.items {
		if x.log.items[i].state&held != 0 {
			back = append(back, uint32(i))
		}
	}
	slices.SortFunc(back, x.log.compare)
	var in []ID
	for _, n := range back {
		if all && x.log.replicas[x.log.items[n].rep].id == d.Replica {
			in = append(in, x.log.items[n].id)
		}
	}
	for _, v := range x.list("entries") {
		if n, ok := x.among(back, "entries", v, "is not the name of a held entry, or of its first 4 letters"); ok && !slices.Contains(in, x.log.items[n].id) {
			in = append(in, x.log.items[n].id)
		}
	}
	switch {
	case len(in) > 0 || len(x.errs) > 0:
	case all:
		x.fail("device", x.text("device"), "has no held entries")
	default:
		x.fail("entries", "", "want the names of held entries, or a device")
	}
	for part := range slices.Chunk(in, maxAdmit) {
		x.write(&ReplicaAdmit{At: at, Entries: part, Reason: x.text("reason")})
	}
}

// headsText names the ends of the lines of a chain.
func headsText(heads []Head) string {
	list := make([]string, len(heads))
	for i, h := range heads {
		list[i] = fmt.Sprintf("%s (no. %d)", h.ID.Short(), h.Seq)
	}
	return strings.Join(list, " and ")
}

func dayText(w When) string { return w.Time().Format("2006-01-02") }
