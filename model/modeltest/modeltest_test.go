package modeltest

import (
	"bytes"
	"slices"
	"testing"

	"ampwright/model"

	"github.com/fxamacker/cbor/v2"
	"github.com/google/uuid"
	"pgregory.net/rapid"
)

func TestGarageIsALogbook(t *testing.T) {
	const n = 5000
	raws := Garage(n, 1)
	if len(raws) != n {
		t.Fatalf("Garage(%d) has %d entries", n, len(raws))
	}
	ends := map[uuid.UUID]model.Link{}
	builds := map[uuid.UUID]bool{}
	kinds := map[string]int{}
	long := 0
	for i, raw := range raws {
		e, err := model.Decode(raw)
		if err != nil {
			t.Fatalf("entry %d: %v", i, err)
		}
		end := ends[e.Replica]
		if e.Seq != end.Seq+1 || e.Prev != end.ID {
			t.Fatalf("entry %d: %d of %s does not follow %d", i, e.Seq, e.Replica, end.Seq)
		}
		ends[e.Replica] = model.Link{Seq: e.Seq, ID: e.ID}
		if (e.Seq == 1) != (e.Kind() == "replica") {
			t.Errorf("entry %d: number %d is a %s", i, e.Seq, e.Kind())
		}
		switch b := e.Body.(type) {
		case *model.Unknown:
			t.Errorf("entry %d: a %s that does not read", i, b.Name)
		case *model.BuildStart:
			builds[e.Build] = true
		case *model.Reading:
			if len(b.Values) >= 20 {
				long++
			}
		default:
			if e.Build != uuid.Nil && !builds[e.Build] {
				t.Errorf("entry %d: a %s for a build that has not begun", i, e.Kind())
			}
		}
		kinds[e.Kind()]++
	}
	if len(ends) != 2 || len(builds) != 2 || long < 50 {
		t.Errorf("%d replicas, %d builds, %d long readings; want 2, 2, at least 50", len(ends), len(builds), long)
	}
	for _, want := range []struct { // the mix the doc comment promises, with room for chance
		from, to float64
		kinds    []string
	}{
		{0.43, 0.50, []string{"work"}},
		{0.17, 0.23, []string{"reading"}},
		{0.08, 0.12, []string{"purchase", "order", "arrival", "sale"}},
		{0.08, 0.12, []string{"set"}},
		{0.06, 0.10, []string{"clock-on", "clock-off"}},
		{0.002, 0.02, []string{"strike"}},
	} {
		share := 0.0
		for _, k := range want.kinds {
			share += float64(kinds[k]) / n
		}
		if share < want.from || share > want.to {
			t.Errorf("share of %v is %.3f, want %.3f to %.3f", want.kinds, share, want.from, want.to)
		}
	}
}

func TestGarageIsTheSameForASeed(t *testing.T) {
	a, b, c := Garage(300, 7), Garage(300, 7), Garage(300, 8)
	if !slices.EqualFunc(a, b, bytes.Equal) {
		t.Error("the same seed gave other bytes")
	}
	if slices.EqualFunc(a, c, bytes.Equal) {
		t.Error("another seed gave the same bytes")
	}
	if shorter := Garage(100, 7); !slices.EqualFunc(shorter, a[:100], bytes.Equal) {
		t.Error("a shorter logbook is not the beginning of a longer one")
	}
}

// An independent decoder, set to the core deterministic encoding of RFC 8949,
// section 4.2.1, must write an entry as we wrote it.
func TestEntriesAreDeterministicCBOR(t *testing.T) {
	enc, err := cbor.CoreDetEncOptions().EncMode()
	if err != nil {
		t.Fatal(err)
	}
	dec, err := cbor.DecOptions{DupMapKey: cbor.DupMapKeyEnforcedAPF, IndefLength: cbor.IndefLengthForbidden, TagsMd: cbor.TagsForbidden}.DecMode()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		raws := Garage(60, rapid.Uint64().Draw(t, "seed"))
		for _, raw := range append(raws, Logbooks().Draw(t, "logbook")...) {
			var v map[uint64]any
			if err := dec.Unmarshal(raw, &v); err != nil {
				t.Fatalf("%x: %v", raw, err)
			}
			got, err := enc.Marshal(v)
			if err != nil || !bytes.Equal(got, raw) {
				t.Fatalf("%x came back as %x, %v", raw, got, err)
			}
		}
	})
}

func TestDrawnEntriesReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		e := Entries().Draw(t, "entry")
		raw, err := e.Encode()
		if err != nil {
			t.Fatal(err)
		}
		back, err := model.Decode(raw)
		if err != nil {
			t.Fatalf("%x: %v", raw, err)
		}
		again, err := back.Encode()
		if err != nil || !bytes.Equal(again, raw) || back.ID != e.ID {
			t.Fatalf("%x came back as %x, %v", raw, again, err)
		}
	})
}

func TestDrawnLogbooksAreInOrder(t *testing.T) {
	var strikes, strikesOfStrikes, unknown, forks, names int
	rapid.Check(t, func(t *rapid.T) {
		seen := map[model.ID]model.Entry{}
		next := map[model.ID]bool{}
		for i, raw := range Logbooks().Draw(t, "logbook") {
			e, err := model.Decode(raw)
			if err != nil {
				t.Fatal(err)
			}
			if _, ok := seen[e.Prev]; e.Seq > 1 && !ok {
				t.Fatalf("entry %d comes before its predecessor", i)
			}
			if next[e.Prev] && e.Seq > 1 {
				forks++
			}
			next[e.Prev] = true
			for _, o := range e.Over {
				old, ok := seen[o]
				if !ok {
					t.Fatalf("entry %d names one that comes later", i)
				}
				if e.Kind() == "strike" && old.Kind() == "strike" {
					strikesOfStrikes++
				}
			}
			switch e.Body.(type) {
			case *model.Strike:
				strikes++
			case *model.Unknown:
				unknown++
			}
			names += len(e.Over)
			seen[e.ID] = e
		}
	})
	if strikes == 0 || strikesOfStrikes == 0 || unknown == 0 || forks == 0 || names == 0 {
		t.Errorf("drew %d strikes, %d of strikes, %d unknown, %d forks, %d names: each should occur", strikes, strikesOfStrikes, unknown, forks, names)
	}
}
