package model

// A Severity is what a hazard does if it is not avoided. The signal word of a
// panel follows from it and from nothing else: ANSI Z535.4 and ISO 3864-2, from
// memory.
type Severity int

const (
	DamagesThings  Severity = 1 + iota // NOTICE: property alone
	InjuresLightly                     // CAUTION: could, minor or moderate injury
	CouldKill                          // WARNING: could, death or serious injury
	WillKill                           // DANGER: will, death or serious injury
)

// Word is the signal word of a severity.
func (s Severity) Word() string {
	return [...]string{"", "NOTICE", "CAUTION", "WARNING", "DANGER"}[s]
}

// A hazard of the plans. How bad each is is the builder's own judgement, no
// published source.
type hazard struct {
	severity Severity
	live     Severity // on an energised machine, where that is worse
	energy   bool     // it comes with an energised machine
}

var hazards = map[string]hazard{
	"lifting": {severity: InjuresLightly}, "hot surfaces": {severity: InjuresLightly}, "pinch": {severity: InjuresLightly},
	"brake dust": {severity: InjuresLightly}, "sharp edges": {severity: InjuresLightly}, "shock from tester": {severity: InjuresLightly},
	"petrol vapour": {severity: CouldKill}, "acid": {severity: CouldKill}, "crush": {severity: CouldKill}, "chemical": {severity: CouldKill},
	"hot work": {severity: CouldKill}, "fumes": {severity: CouldKill}, "eye": {severity: CouldKill}, "fire": {severity: CouldKill},
	"burn": {severity: CouldKill}, "stored energy": {severity: CouldKill}, "lithium fire": {severity: CouldKill}, "road": {severity: CouldKill},
	"track": {severity: CouldKill}, "rotating machine": {severity: CouldKill, energy: true}, "rotating wheel": {severity: CouldKill, energy: true},
	"rotating chain": {severity: CouldKill, energy: true}, "arc": {severity: CouldKill, energy: true},
	"shock >60 V DC": {severity: CouldKill, live: WillKill, energy: true}, "mains": {severity: CouldKill, live: WillKill, energy: true},
	"damage to parts": {severity: DamagesThings},
}

// SeverityOf returns how bad a hazard is, on an energised machine or not. One
// that is not on the list counts as able to kill; known is then false.
func SeverityOf(name string, energised bool) (s Severity, known bool) {
	h, known := hazards[name]
	switch {
	case !known:
		return CouldKill, false
	case energised && h.live != 0:
		return h.live, true
	}
	return h.severity, true
}

// live reports whether one of the hazards comes with an energised machine.
func live(list []string) bool {
	for _, name := range list {
		if hazards[name].energy {
			return true
		}
	}
	return false
}
