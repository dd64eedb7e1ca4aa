package session_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/sha256"
	"errors"
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

func TestFirstMeeting(t *testing.T) {
	laptop, phone := newDevice(t, 1), newDevice(t, 2)
	laptop.notes("drum brake ", 700)
	phone.notes("photo ", 3)
	invited(laptop, phone)
	p := dial(t, phone, laptop)
	p.requireSame()
	require.Equal(t, 705, phone.log.Len())
	met := of[session.Met](laptop)
	require.Len(t, met, 1)
	require.Equal(t, phone.name, met[0].Peer.Replica)
	require.False(t, met[0].Peer.Known)
	require.True(t, met[0].Peer.Invited)
	require.Equal(t, session.Progress{Got: 701, Want: 701}, of[session.Progress](phone)[len(of[session.Progress](phone))-1])
	require.Empty(t, of[session.Rename](laptop))

	// The next time no invitation is needed, and nothing is sent twice.
	laptop.cfg.Secret, phone.cfg.Secret = nil, nil
	p = dial(t, phone, laptop)
	p.requireSame()
	require.True(t, of[session.Met](laptop)[0].Peer.Known)
	require.Empty(t, sent[*wire.Entries](p))
	require.Empty(t, sent[*wire.Ladder](p))
}

func known(t *testing.T) (a, b *device) {
	a, b = newDevice(t, 1), newDevice(t, 2)
	invited(a, b)
	dial(t, a, b).requireSame()
	a.cfg.Secret, b.cfg.Secret = nil, nil
	return a, b
}

func TestLive(t *testing.T) {
	a, b := known(t)
	p := dial(t, a, b)
	for i := range 20 {
		from := []*device{a, b}[i%2]
		from.write(&model.Note{Text: fmt.Sprint("note ", i)}, &model.Note{Text: "and one more"})
		p.grew(from)
		p.requireSame()
	}
	require.Len(t, sent[*wire.Entries](p), 20)
	require.Len(t, sent[*wire.Kept](p), 20)
}

// A confirmation is sent only when the entries are durable.
func TestKeptComesAfterStoring(t *testing.T) {
	a, b := known(t)
	p := dial(t, a, b)
	b.slow = true
	a.notes("x", 1)
	p.grew(a)
	require.Len(t, of[session.Append](b), 1)
	require.Empty(t, sent[*wire.Kept](p))
	require.Equal(t, 1, a.session.Peer().InFlight)
	require.NotEqual(t, a.log.Vector(), a.session.Peer().Vector)
	b.slow = false
	b.step(p.now, b.asked[0])
	p.run()
	p.requireSame()
}

func TestRefusedAtTheDoor(t *testing.T) {
	other := newDevice(t, 9)
	for _, tt := range []struct {
		name  string
		spoil func(a, b *device)
		code  wire.Code
		text  string
	}{
		{"a stranger", func(a, b *device) {}, wire.CodeUnknown, "is not known here and shows no invitation that is open"},
		{"another invitation", func(a, b *device) { invited(a, b); a.cfg.Secret = []byte("the secret of another one") }, wire.CodeUnknown, "no invitation"},
		{"a key that is not its own", func(a, b *device) { invited(a, b); a.cfg.Key = other.cfg.Key }, wire.CodeProof, "does not fit the key"},
		{"a name that is not its own", func(a, b *device) {
			invited(a, b)
			b.keep(a.raws(), nil)
			a.key, a.cfg.Key = other.key, other.cfg.Key
		}, wire.CodeKey, "known here under another key"},
		{"not admitted", func(a, b *device) {
			invited(a, b)
			b.cfg.Admit = func(p session.Peer) error { return errors.New("this device was struck off on 3 August") }
		}, wire.CodeRefused, "struck off on 3 August"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			a, b := newDevice(t, 1), newDevice(t, 2)
			tt.spoil(a, b)
			p := dial(t, a, b)
			end := ended(b)
			require.Equal(t, tt.code, end.Code)
			require.ErrorContains(t, errors.New(end.Text), tt.text)
			require.Equal(t, session.End{Code: tt.code, Text: end.Text, Theirs: true}, ended(a))
			require.Empty(t, of[session.Met](a))
			require.Empty(t, of[session.Met](b))
			require.Empty(t, sent[*wire.Have](p))
			require.Zero(t, a.session.Next())
		})
	}
}

func (d *device) raws() (all [][]byte) {
	require.NoError(d.t, d.log.All(func(raw []byte) error { all = append(all, raw); return nil }))
	return all
}

// A side that answers does not show its own proof to a stranger.
func TestStrangerProvesFirst(t *testing.T) {
	a, b := newDevice(t, 1), newDevice(t, 2)
	p := dial(t, a, b)
	require.Len(t, sent[*wire.Prove](p), 1)
}

func TestConfig(t *testing.T) {
	good := newDevice(t, 1).cfg
	for text, spoil := range map[string]func(*session.Config){
		"are all needed":                                  func(c *session.Config) { c.Nonce = [32]byte{} },
		"secret of 6 bytes, want at least 16":             func(c *session.Config) { c.Secret = []byte("123456") },
		"credit of 1000 bytes, want at least 524288":      func(c *session.Config) { c.Credit = 1000 },
		"of 300 bytes, at most 256 are possible":          func(c *session.Config) { c.Program = strings.Repeat("x", 300) },
		"replica, key, sign and nonce are all needed":     func(c *session.Config) { c.Key = c.Key[:31] },
		"session: replica, key, sign and nonce are all n": func(c *session.Config) { c.Replica = uuid.Nil },
	} {
		cfg := good
		spoil(&cfg)
		_, err := session.New(cfg)
		require.ErrorContains(t, err, text)
	}
}

func TestVersions(t *testing.T) {
	a, b := newDevice(t, 1), newDevice(t, 2)
	s, err := session.New(b.cfg)
	require.NoError(t, err)
	s.Step(start, b.log, session.Opened{})
	hello := wire.Hello{Greeting: wire.Greeting{Versions: []int64{2, 3}, Replica: a.name, Key: a.cfg.Key, Nonce: make([]byte, 32), Credit: 1 << 20}}
	frame, err := wire.Encode(&hello)
	require.NoError(t, err)
	effects := s.Step(start, b.log, session.Frame{Bytes: frame})
	require.Equal(t, session.End{Code: wire.CodeVersion, Text: "protocol versions [2 3], this side speaks 1"}, effects[len(effects)-1])
}

func TestNonsense(t *testing.T) {
	encode := func(m wire.Message) []byte {
		frame, err := wire.Encode(m)
		require.NoError(t, err)
		return frame
	}
	for name, frame := range map[string][]byte{
		"no frame":                   {0xff},
		"a greeting again":           encode(&wire.Prove{Sig: make([]byte, 64)}),
		"an answer to nothing":       encode(&wire.Kept{Batch: 7}),
		"a refusal of nothing":       encode(&wire.Held{Batch: 7, Reason: wire.ReasonFull}),
		"a frame that must be known": {0xa1, 0x00, 0x11}, // kind 17
	} {
		a, b := known(t)
		p := dial(t, a, b)
		b.step(p.now, session.Frame{Bytes: frame})
		require.Equal(t, wire.CodeProtocol, ended(b).Code, name)
		p.run()
		require.True(t, ended(a).Theirs)
	}
	a, b := known(t)
	p := dial(t, a, b)
	b.step(p.now, session.Frame{Bytes: []byte{0xa2, 0x00, 0x12, 0x01, 0x00}}) // kind 18
	require.Empty(t, of[session.End](b))
	_ = a
}

// A copy of a device goes on writing: both lines are kept on both sides, and the
// copy is told to take a new name.
func TestFork(t *testing.T) {
	for _, n := range [][2]int{{1, 1}, {3, 5}, {40, 2}, {0, 4}, {700, 300}} {
		a, b := known(t)
		a.notes("common ", 30)
		dial(t, a, b).requireSame()
		twin := a.copy()
		a.notes("first ", n[0])
		twin.notes("second ", n[1])
		dial(t, a, b).requireSame()

		p := dial(t, twin, b)
		p.requireSame()
		if n[0] > 0 {
			require.Len(t, b.log.Vector()[a.name], 2, n)
			require.Len(t, of[session.Rename](twin), 1, n)
			require.Len(t, sent[*wire.Ladder](p), 2, n)
		}
		dial(t, a, b).requireSame()
		if n[0] > 0 {
			require.Len(t, of[session.Rename](a), 1, n)
		}
	}
}

// A device that was set back is refilled from what it shows it has.
func TestSetBack(t *testing.T) {
	a, b := known(t)
	old := b.copy()
	a.notes("later ", 10)
	b.notes("own ", 10)
	dial(t, a, b).requireSame()
	p := dial(t, a, old)
	p.requireSame()
	require.Len(t, of[session.Rename](old), 1)
	require.Equal(t, a.log.Vector(), b.log.Vector())
}

func TestHeld(t *testing.T) {
	t.Run("full", func(t *testing.T) {
		a, b := known(t)
		p := dial(t, a, b)
		a.notes("x", 1)
		b.fail = errors.New("disk full")
		p.grew(a)
		require.Equal(t, wire.ReasonFull, of[session.Refused](a)[0].Held.Reason)
		require.NotEqual(t, a.log.Vector(), b.log.Vector())
		b.fail = nil
		p.pass(31 * time.Second) // the next comparison tries again
		p.requireSame()
	})
	t.Run("seal", func(t *testing.T) {
		a, b := known(t)
		c := newDevice(t, 3)
		p := dial(t, a, b)
		pen, err := a.log.Pen(a.name)
		require.NoError(t, err)
		c.key, a.key = a.key, c.key // seals with a key that is not a's
		a.commit(&pen, &model.Note{Text: "x"})
		a.keep(c.raws(), nil)
		require.NoError(t, a.log.AddSeal(c.log.Seals(c.name)[0]))
		p.grew(a)
		refused := of[session.Refused](a)
		require.Len(t, refused, 1)
		require.Equal(t, wire.Held{Batch: 1, Replica: a.name, Seq: 2, Reason: wire.ReasonSeal}, refused[0].Held)
		require.True(t, b.log.Has(c.log.Vector()[c.name][0].ID), "the other chain goes on")
		require.Equal(t, 2, b.log.Len()-1)
		require.True(t, of[session.Refused](b)[0].Ours)
	})
	t.Run("full, many batches", func(t *testing.T) {
		a, b := known(t)
		a.keepGarage(20_000)
		b.fail, b.slow = errors.New("disk full"), true
		p := dial(t, a, b)
		for len(b.asked) > 0 { // each fails after the next has been sent
			k := b.asked[0]
			b.asked = b.asked[1:]
			b.step(p.now, k)
			p.run()
		}
		b.slow = false
		p.pass(2 * time.Minute)
		require.LessOrEqual(t, len(sent[*wire.Entries](p)), 4*5, "it tries every 30 s, not again and again")
		for _, r := range of[session.Refused](a) {
			require.NotEqual(t, wire.ReasonSeal, r.Held.Reason)
		}
		b.fail = nil
		p.pass(31 * time.Second)
		p.requireSame()
	})
	t.Run("no key", func(t *testing.T) {
		a, b := known(t)
		c := newDevice(t, 3)
		c.log = model.NewLogbook()
		c.write(&model.Replica{Device: "a copy of before keys"}, &model.Note{Text: "x"})
		a.keep(c.raws(), c.log.Seals(c.name))
		p := dial(t, a, b)
		require.Equal(t, wire.Held{Batch: 1, Replica: c.name, Seq: 1, Reason: wire.ReasonSeal}, of[session.Refused](a)[0].Held)
		p.pass(2 * time.Minute)
		require.Len(t, sent[*wire.Entries](p), 1)
	})
	t.Run("name taken", func(t *testing.T) {
		a, b := known(t)
		c, d := newDevice(t, 3), newDevice(t, 4)
		d.name = c.name
		d.log = model.NewLogbook()
		d.write(&model.Replica{Key: d.cfg.Key})
		a.keep(c.raws(), c.log.Seals(c.name))
		b.keep(d.raws(), d.log.Seals(d.name))
		dial(t, a, b)
		require.Equal(t, wire.ReasonSeal, of[session.Refused](a)[0].Held.Reason)
		require.Len(t, b.log.Vector()[c.name], 1)
	})
	t.Run("fork", func(t *testing.T) {
		a, b := known(t)
		c := newDevice(t, 3)
		first := c.log.Vector()[c.name][0]
		a.keep(c.raws(), c.log.Seals(c.name))
		b.keep(c.raws(), c.log.Seals(c.name))
		for i := range 9 {
			pen := model.Pen{Replica: c.name, Head: first}
			one := c.copy()
			one.commit(&pen, &model.Note{Text: fmt.Sprint("line ", i)})
			holder := b
			if i == 8 {
				holder = a
			}
			holder.keep(one.raws(), one.log.Seals(c.name))
		}
		dial(t, a, b)
		require.Equal(t, wire.Held{Batch: 1, Replica: c.name, Seq: 2, Reason: wire.ReasonFork}, of[session.Refused](a)[0].Held)
		require.Len(t, a.log.Vector()[c.name], 8)
		require.Len(t, b.log.Vector()[c.name], 8)
		require.Empty(t, of[session.End](a))
	})
	t.Run("gap", func(t *testing.T) {
		a, b := known(t)
		a.notes("x", 5)
		dial(t, a, b).requireSame()
		p := dial(t, a, b)
		old := newDevice(t, 2) // b's disk is another one all of a sudden
		old.keep(a.raws()[:3], nil)
		b.log = old.log
		a.notes("y", 1)
		p.grew(a)
		require.Equal(t, wire.Held{Batch: 1, Replica: a.name, Seq: 7, Reason: wire.ReasonGap}, of[session.Refused](a)[0].Held)
		p.requireSame()
	})
}

// The sender keeps to what it was granted, a receiver to what it can hold.
func TestCredit(t *testing.T) {
	a, b := known(t)
	random := rand.New(rand.NewPCG(1, 1))
	for range 400 {
		text := make([]byte, 7000)
		for i := range text {
			text[i] = byte(' ' + random.IntN(90))
		}
		b.write(&model.Note{Text: string(text)})
	}
	a.cfg.Credit = 512 << 10
	a.slow = true
	p := dial(t, a, b)
	granted := 0
	for {
		size, flights := 0, b.session.Peer().InFlight
		for _, m := range sent[*wire.Entries](p) {
			frame, err := wire.Encode(m)
			require.NoError(t, err)
			size += len(frame)
		}
		for _, m := range sent[*wire.Credit](p) {
			granted += int(m.Bytes)
		}
		require.LessOrEqual(t, flights, 4)
		if len(a.asked) == 0 {
			break
		}
		require.LessOrEqual(t, size, a.cfg.Credit+granted)
		granted = 0
		k := a.asked[0]
		a.asked = a.asked[1:]
		a.step(p.now, k)
		p.run()
	}
	p.requireSame()
	require.Greater(t, len(sent[*wire.Credit](p)), 5)

	// A sender that does not keep to it is cut off.
	a, b = known(t)
	p = dial(t, a, b)
	part, err := wire.Encode(&wire.BlobPart{Size: 1, Bytes: make([]byte, wire.MaxPart)})
	require.NoError(t, err)
	for range 40 {
		a.step(p.now, session.Frame{Bytes: part}) // nobody asked: it is passed over, and grants nothing at once
	}
	p.run()
	require.Empty(t, of[session.End](a), "what is passed over is granted again")
	a.slow = true
	for i := range 5 {
		frame, err := wire.Encode(&wire.Entries{Batch: uint64(i + 1), Portions: []model.Portion{b.large(i)}})
		require.NoError(t, err)
		a.step(p.now, session.Frame{Bytes: frame})
	}
	require.Equal(t, "batch 5 came while 4 are being stored, at most 4 are accepted", ended(a).Text)

	a, b = known(t)
	p = dial(t, a, b)
	a.hold = true
	blob := wire.Hash{1}
	a.step(p.now, session.WantBlob{Hash: blob})
	for i := range 17 {
		part, err := wire.Encode(&wire.BlobPart{Hash: blob, Offset: int64(i) * wire.MaxPart, Size: wire.MaxBlob, Bytes: make([]byte, wire.MaxPart)})
		require.NoError(t, err)
		a.step(p.now, session.Frame{Bytes: part})
	}
	require.Contains(t, ended(a).Text, "more than were granted")
}

// large returns some 100 KiB of new entries that cannot be packed.
func (d *device) large(nth int) model.Portion {
	random := rand.New(rand.NewPCG(uint64(nth), 2))
	from := d.log.Vector()[d.name][0]
	for range 14 {
		text := make([]byte, 7000)
		for i := range text {
			text[i] = byte(' ' + random.IntN(90))
		}
		d.write(&model.Note{Text: string(text)})
	}
	portions, _ := d.log.Missing(model.Vector{d.name: {from}}, 1<<20)
	for _, p := range portions {
		if p.From == from {
			return p
		}
	}
	panic("nothing was written")
}

func TestBeats(t *testing.T) {
	a, b := known(t)
	b.clock = 40 * time.Second
	p := dial(t, a, b)
	require.InDelta(t, 40, a.session.Peer().Offset.Seconds(), 0.01)
	require.InDelta(t, -40, b.session.Peer().Offset.Seconds(), 0.01)
	p.pass(10 * time.Minute)
	require.Empty(t, of[session.End](a))
	require.NotEmpty(t, sent[*wire.Beat](p))
	haves := len(sent[*wire.Have](p))
	require.InDelta(t, 2*20, haves, 4, "one in 30 s from each side")

	// The line goes dead: both notice within 50 s.
	for range 55 {
		p.now = p.now.Add(time.Second)
		for _, d := range []*device{a, b} {
			if next := d.session.Next(); !next.IsZero() && !next.After(p.now.Add(d.clock)) {
				d.step(p.now, session.Tick{})
			}
			d.out = nil
		}
	}
	require.Equal(t, wire.CodeTimeout, ended(a).Code)
	require.Equal(t, "nothing heard for 50s", ended(b).Text)
}

func TestGreetingTakesTooLong(t *testing.T) {
	a := newDevice(t, 1)
	s, err := session.New(a.cfg)
	require.NoError(t, err)
	require.Zero(t, s.Next())
	s.Step(start, a.log, session.Opened{})
	require.Equal(t, start.Add(10*time.Second), s.Next())
	require.Empty(t, s.Step(start.Add(9*time.Second), a.log, session.Tick{}))
	effects := s.Step(start.Add(10*time.Second), a.log, session.Tick{})
	require.Equal(t, wire.CodeTimeout, effects[1].(session.End).Code)
	require.Empty(t, s.Step(start, a.log, session.Opened{}))
}

func TestStop(t *testing.T) {
	a, b := known(t)
	p := dial(t, a, b)
	a.step(p.now, session.Stop{Code: wire.CodeBusy, Text: "come back later", Retry: time.Minute})
	p.run()
	require.Equal(t, session.End{Code: wire.CodeBusy, Text: "come back later", Retry: time.Minute, Theirs: true}, ended(b))
}

// A clock that is set back a day does not keep a session waiting for a day.
func TestClockSetBack(t *testing.T) {
	a, b := known(t)
	p := dial(t, a, b)
	a.clock = -24 * time.Hour
	p.pass(5 * time.Minute)
	require.Empty(t, of[session.End](a))
	require.Empty(t, of[session.End](b))
}

// Two programs that make different states of the same entries are found out.
func TestDiverged(t *testing.T) {
	a, b := known(t)
	p := dial(t, a, b)
	frame, err := wire.Encode(&wire.Have{Schema: model.Schema, Digest: b.log.Digest() + 1, Vector: b.log.Vector()})
	require.NoError(t, err)
	a.step(p.now, session.Frame{Bytes: frame})
	require.Equal(t, []session.Diverged{{Ours: a.log.Digest(), Theirs: b.log.Digest() + 1}}, of[session.Diverged](a))
	frame, err = wire.Encode(&wire.Have{Schema: model.Schema + 1, Digest: 1, Vector: b.log.Vector()})
	require.NoError(t, err)
	a.step(p.now, session.Frame{Bytes: frame})
	require.Len(t, of[session.Diverged](a), 1, "another schema may differ")
	require.Empty(t, of[session.End](a))
}

func TestBlobs(t *testing.T) {
	for _, size := range []int{1, wire.MaxPart, wire.MaxPart + 1, 3_000_000} {
		a, b := known(t)
		blob := make([]byte, size)
		for i := range blob {
			blob[i] = byte(i * i >> 3)
		}
		hash := wire.Hash(sha256.Sum256(blob))
		b.blobs[hash] = blob
		a.blobs[hash] = blob[: size/3 : size/3] // what came before the connection was cut
		p := dial(t, a, b)
		a.step(p.now, session.WantBlob{Hash: hash, From: int64(size / 3)})
		a.step(p.now, session.WantBlob{Hash: wire.Hash{1}})
		p.run()
		require.Equal(t, blob, a.blobs[hash])
		require.Equal(t, []session.BlobThere{{hash}}, of[session.BlobThere](b))
		require.Equal(t, []session.NoBlob{{wire.Hash{1}}}, of[session.NoBlob](a))
		p.requireSame()
	}
}

// A side that ends the session once all is exchanged waits for all that the other
// one fetches from it, however late each part is stored there.
func TestFinishAfterBlobs(t *testing.T) {
	a, b := known(t)
	var all []wire.Hash
	for i, size := range []int{1, wire.MaxPart, 1, 3 * wire.MaxPart, 10, 10} {
		blob := bytes.Repeat([]byte{byte(i)}, size)
		hash := wire.Hash(sha256.Sum256(blob))
		b.blobs[hash] = blob
		all = append(all, hash, wire.Hash{byte(i), 9}) // and one that is not there
	}
	p := dial(t, a, b)
	for _, hash := range all {
		a.step(p.now, session.WantBlob{Hash: hash})
		a.step(p.now, session.WantBlob{Hash: hash})
	}
	b.step(p.now, session.Finish{})
	p.run()
	require.Equal(t, "all is exchanged", ended(b).Text)
	require.Equal(t, b.blobs, a.blobs)
	require.Len(t, of[session.BlobThere](b), 6)
	require.Len(t, of[session.NoBlob](a), 6)
	require.Len(t, sent[*wire.BlobWant](p), 6+2+6)
}

// Blobs come whole, and a session ends after them, whatever credit a side gives:
// no side waits for some that the other does not owe it.
func TestBlobsWithAnyCredit(t *testing.T) {
	blob := bytes.Repeat([]byte("pixels"), 150_000)
	hash := wire.Hash(sha256.Sum256(blob))
	for credit := 512 << 10; credit <= 1<<20; credit += 12_345 {
		a, b := known(t)
		a.cfg.Credit = credit
		b.blobs[hash] = blob
		p := dial(t, a, b)
		a.step(p.now, session.WantBlob{Hash: hash})
		b.step(p.now, session.Finish{})
		p.run()
		require.True(t, bytes.Equal(blob, a.blobs[hash]), "credit of %d bytes: %d bytes of %d came", credit, len(a.blobs[hash]), len(blob))
		require.Equal(t, "all is exchanged", ended(b).Text)
	}
}

// Each part of a blob goes once over the wire, and never more than four are on
// their way.
func TestBlobPartsOnce(t *testing.T) {
	a, b := known(t)
	blob := bytes.Repeat([]byte("pixels"), 200_000)
	hash := wire.Hash(sha256.Sum256(blob))
	b.blobs[hash] = blob
	p := dial(t, a, b)
	a.step(p.now, session.WantBlob{Hash: hash})
	p.run()
	offset := int64(0)
	for _, m := range sent[*wire.BlobPart](p) {
		require.Equal(t, offset, m.Offset)
		offset += int64(len(m.Bytes))
	}
	require.EqualValues(t, len(blob), offset)
	waiting := 0
	for _, m := range p.sent {
		switch m.(type) {
		case *wire.BlobWant:
			waiting++
		case *wire.BlobPart:
			waiting--
		}
		require.LessOrEqual(t, waiting, 4)
	}
	b.step(p.now, session.HaveBlob{Hash: hash})
	p.run()
	require.Equal(t, []session.BlobThere{{hash}}, of[session.BlobThere](a))
}

// Parts of a blob wait until all entries are on their way.
func TestBlobsComeAfterEntries(t *testing.T) {
	a, b := known(t)
	blob := make([]byte, 1_000_000)
	hash := wire.Hash(sha256.Sum256(blob))
	b.blobs[hash] = blob
	p := dial(t, a, b)
	b.notes(strings.Repeat("a long remark that takes room ", 200), 400)
	b.step(p.now, session.Grew{})
	a.step(p.now, session.WantBlob{Hash: hash})
	p.run()
	last, first := 0, -1
	for i, m := range p.sent {
		switch m.(type) {
		case *wire.Entries:
			last = i
		case *wire.BlobPart:
			if first < 0 {
				first = i
			}
		}
	}
	require.Greater(t, len(sent[*wire.Entries](p)), 4)
	require.Greater(t, first, last)
	p.requireSame()
	require.Equal(t, blob, a.blobs[hash])
}

// A long logbook arrives whole whatever the order in which batches are stored
// and confirmed.
func TestManyBatches(t *testing.T) {
	a, b := known(t)
	b.keepGarage(20_000)
	p := dial(t, a, b)
	p.requireSame()
	require.Greater(t, len(sent[*wire.Entries](p)), 8)
	require.Equal(t, 20_002, a.log.Len())
}

// keepGarage folds in a real logbook under two other names.
func (d *device) keepGarage(n int) {
	keys := map[uuid.UUID]ed25519.PrivateKey{}
	pens := map[uuid.UUID]*model.Pen{}
	for _, raw := range modeltest.Garage(n, 1) {
		e, err := model.Decode(raw)
		require.NoError(d.t, err)
		if pens[e.Replica] == nil {
			seed := sha256.Sum256(e.Replica[:])
			keys[e.Replica] = ed25519.NewKeyFromSeed(seed[:])
			pens[e.Replica] = &model.Pen{Replica: e.Replica}
			e.Body = &model.Replica{Key: keys[e.Replica].Public().(ed25519.PublicKey)}
		}
		raws, err := pens[e.Replica].Write([]model.Draft{{Build: e.Build, Author: e.Author, Body: e.Body}}, e.Stamp)
		require.NoError(d.t, err)
		var seals []model.Seal
		if e.Seq%100 == 1 || n-d.log.Len() < 100 {
			seals, err = model.SealCommit(raws, func(m []byte) []byte { return ed25519.Sign(keys[e.Replica], m) })
			require.NoError(d.t, err)
		}
		d.keep(raws, seals)
	}
}
