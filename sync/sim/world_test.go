package sim_test

import (
	"crypto/ed25519"
	"encoding/binary"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"runtime/debug"
	"time"

	"ampwright/model"

	"github.com/google/uuid"
)

// A world is one run: devices, what is on its way between them, and what was
// ever written.
type world struct {
	rng     *rand.Rand
	now     time.Time
	steps   int
	calm    bool // no harm is done
	strict  bool // every frame with entries is read
	sparse  bool // devices that are joined through others need no connection
	devices []*device
	late    []lateNote
	secret  []byte // of every invitation
	doubles int    // devices that came to write under a name in use

	written map[model.ID]*record
	all     []*record            // in the order of writing
	fields  map[string][]*record // writings of each field

	sabotage sabotage
	tally
	trace uint64 // hash of all that travelled
}

// A tally is what happened in a run.
type tally struct {
	faults  [faultCount]int
	entries int // written
	lost    int // gone because all who had them were set back
	held    int // kept and not counted, in the end
	clashes int // fields with more than one head, in the end
	met     int // connections on which both sides proved themselves
	frames  int
	stored  int // commits that came from another device
	renames int
	ladders int // sent
	ends    int // connections that ended because all was exchanged
	refused int // entries not taken, by notices
	blobs   int // fetched whole
	vouched int // times a new name was let in for the one before

	introduced int // connections made without an invitation for that
}

// maxDevices in a world, and maxDoubles names that come to be used twice: a
// session takes no more than eight branches of a chain.
const (
	maxDevices = 7
	maxDoubles = 5
)

// A violation is an invariant that does not hold.
type violation struct{ error }

func (w *world) fail(format string, args ...any) {
	panic(violation{fmt.Errorf("step %d: "+format, append([]any{w.steps}, args...)...)})
}

func (w *world) check(err error) {
	if err != nil {
		w.fail("%v", err)
	}
}

// run plays one seed to its end and returns the world and the first invariant
// that did not hold, if any.
func run(seed uint64, steps int, s sabotage) (w *world, err error) {
	w = &world{
		rng:     rand.New(rand.NewPCG(seed, 0x73696d)),
		now:     time.Date(2027, 3, 1, 12, 0, 0, 0, time.UTC),
		written: map[model.ID]*record{}, fields: map[string][]*record{},
		secret: []byte("0123456789abcdef"), sabotage: s,
	}
	defer func() {
		switch p := recover().(type) {
		case nil:
		case violation:
			err = p.error
		default:
			err = fmt.Errorf("step %d: panic: %v\n%s", w.steps, p, debug.Stack())
		}
	}()
	w.strict = w.rng.IntN(4) == 0
	w.calm = true
	for range 3 + w.rng.IntN(3) {
		w.newDevice()
	}
	w.calm = false
	for w.steps = 1; w.steps <= steps; w.steps++ {
		w.oneStep()
	}
	w.heal()
	w.verify()
	return w, nil
}

// oneStep does one thing at random.
func (w *world) oneStep() {
	w.now = w.now.Add(time.Duration(w.rng.IntN(400)) * time.Millisecond)
	d := w.devices[w.rng.IntN(len(w.devices))]
	n := w.rng.IntN(1000)
	for _, c := range chances {
		if n -= c.weight; n < 0 {
			c.do(w, d)
			return
		}
	}
	w.move(1 + w.rng.IntN(6))
}

// chances are what a step may be, in weights of 1,000; the rest of the steps moves
// frames. Where there is nothing to do it to, a step passes.
var chances = []struct {
	weight int
	do     func(*world, *device)
}{
	{120, func(w *world, d *device) { w.write(d, w.drafts(d)) }},
	{110, func(w *world, d *device) { w.meet(d) }},
	{140, func(w *world, d *device) { w.finish(d) }},
	{60, func(w *world, d *device) { w.pass(d) }},
	{10, func(w *world, d *device) { d.old = append(d.old, d.image()) }},
	{10, (*world).stop},
	{15, (*world).cut},
	{8, (*world).cutInBatch},
	{6, (*world).lose},
	{6, (*world).repeat},
	{5, (*world).corrupt},
	{5, (*world).bringLate},
	{6, (*world).stall},
	{3, (*world).sendStrange},
	{8, (*world).crashNow},
	{6, (*world).jump},
	{2, (*world).clone},
	{3, (*world).restoreNew},
	{3, (*world).restoreOld},
	{1, (*world).closeOne},
}

// hit decides whether a fault strikes, by its weight, and counts it.
func (w *world) hit(f fault) bool {
	if w.calm || w.rng.IntN(1000) >= f.weight() {
		return false
	}
	w.faults[f]++
	return true
}

func (w *world) clock(d *device) time.Time { return w.now.Add(d.skew) }

func (w *world) newName() (uuid.UUID, ed25519.PrivateKey) {
	var name uuid.UUID
	binary.BigEndian.PutUint64(name[:8], w.rng.Uint64())
	binary.BigEndian.PutUint64(name[8:], w.rng.Uint64())
	name[6], name[8] = name[6]&0x0f|0x40, name[8]&0x3f|0x80 // version 4, RFC 9562
	return name, ed25519.NewKeyFromSeed(append(name[:], name[:]...))
}

func (w *world) newDevice() *device {
	d := &device{
		n: len(w.devices), disk: newDisk(), fold: model.NewLogbook(),
		told: map[model.ID]bool{}, cursors: map[int]model.Vector{},
	}
	d.name, d.key = w.newName()
	d.skew = time.Duration(w.rng.IntN(4000)-2000) * time.Millisecond
	w.devices = append(w.devices, d)
	w.opened(d)
	return d
}

// saw adds what travelled to the trace.
func (w *world) saw(e *end, frame []byte) {
	h := fnv.New64a()
	binary.Write(h, binary.BigEndian, w.trace)
	h.Write([]byte{byte(e.dev.n)})
	h.Write(frame)
	w.trace = h.Sum64()
	w.frames++
}
