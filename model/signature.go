package model

import (
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"time"

	"github.com/google/uuid"
)

// A phone signs its sign-offs, releases and concessions, with a key that its
// browser hands to nobody, beside the seal on all it writes: the seal's key can be
// copied with the browser's storage. The signature is an entry of its own, written
// in one commit with what it signs. The first one in a replica's chain says which
// key is the device's; from then on a sign-off of that replica without a valid
// signature by that key opens nothing.

// EdDSA is the algorithm of a signature, by its name in JSON Web Signature (RFC
// 8037): Ed25519, a key of 32 bytes and a signature of 64. ECDSA, which older
// browsers have instead, would make the phone's program a tenth larger: where there
// is no Ed25519 nothing is signed.
const EdDSA = "EdDSA"

// Signature is a signature under a sign-off, see [Statement].
type Signature struct {
	At  When
	Of  ID     // the release or the concession; of the same replica and build
	Alg string // EdDSA
	Key []byte // public
	Sig []byte
}

func (b *Signature) fields(c *codec) {
	c.when(1, &b.At)
	c.entryID(3, &b.Of)
	c.Text(4, &b.Alg)
	c.Bytes(5, &b.Key)
	c.Bytes(6, &b.Sig)
}

// A SignOffKey signs statements with a key that stays where it is.
type SignOffKey struct {
	Alg  string
	Key  []byte // public
	Sign func(statement []byte) ([]byte, error)
}

// Statement is what the signature under a sign-off is over: a text of lines that a
// person can read. raw is the sign-off's entry, person who signs it. ok is false for
// an entry that is no sign-off.
func Statement(raw []byte, person string) (text []byte, ok bool) {
	e, err := Decode(raw)
	if err != nil {
		return nil, false
	}
	what, on, criterion := "", []ID(nil), []string(nil)
	var at When
	switch b := e.Body.(type) {
	case *Release:
		what, on, criterion, at = "release "+b.Point, b.On, b.Limits, b.At
	case *Concession:
		what, at = "concession "+b.Check, b.At
		if b.On != (ID{}) {
			on = []ID{b.On}
		}
	default:
		return nil, false
	}
	names := make([]string, len(on))
	for i, id := range on {
		names[i] = id.String()
	}
	whole, limits := sha256.Sum256(raw), sha256.Sum256([]byte(strings.Join(criterion, "\n")))
	lines := []string{
		"ampwright sign-off 1",
		"build " + e.Build.String(),
		what,
		"on " + strings.Join(names, " "),
		"criterion " + hex.EncodeToString(limits[:]),
		"person " + person,
		"time " + at.Time().Format(time.RFC3339),
		"entry " + hex.EncodeToString(whole[:]), // all of it, with what stands in no line above
	}
	for i := range lines {
		lines[i] = strings.Join(strings.Fields(lines[i]), " ") // a name cannot make a line
	}
	return []byte(strings.Join(lines, "\n") + "\n"), true
}

// Verify reports what is wrong with the signature of a statement; nil for nothing.
func (b *Signature) Verify(statement []byte) error {
	if b.Alg != EdDSA || len(b.Key) != ed25519.PublicKeySize {
		return fmt.Errorf("signed by %q with a key of %d bytes: want %s and %d", b.Alg, len(b.Key), EdDSA, ed25519.PublicKeySize)
	}
	if !ed25519.Verify(b.Key, statement, b.Sig) {
		return fmt.Errorf("the signature does not fit what was signed")
	}
	return nil
}

// Fingerprint is enough of the hash of a key to tell keys apart: 16 hexadecimal
// digits in fours.
func (b *Signature) Fingerprint() string {
	sum := sha256.Sum256(b.Key)
	h := hex.EncodeToString(sum[:8])
	return h[:4] + " " + h[4:8] + " " + h[8:12] + " " + h[12:]
}

// A SignatureLine is a signature on record.
type SignatureLine struct {
	Fact
	Signature
	Fault string // why it does not count; "" if it does
}

// Signed returns the drafts of signatures for those of raws, entries just made,
// that are sign-offs.
func (k *SignOffKey) Signed(raws [][]byte, owner string, at When) ([]Draft, error) {
	var drafts []Draft
	for _, raw := range raws {
		e, err := Decode(raw)
		if err != nil {
			return nil, err
		}
		person := e.Author
		if person == "" {
			person = owner
		}
		text, ok := Statement(raw, person)
		if !ok {
			continue
		}
		sig, err := k.Sign(text)
		if err != nil {
			return nil, fmt.Errorf("nothing was written: the key for sign-offs of this device cannot be used: %w", err)
		}
		s := &Signature{At: at, Of: e.ID, Alg: k.Alg, Key: k.Key, Sig: sig}
		if err := s.Verify(text); err != nil {
			return nil, fmt.Errorf("nothing was written: the key for sign-offs of this device gave no valid signature: %w", err)
		}
		drafts = append(drafts, Draft{Build: e.Build, Author: e.Author, Body: s})
	}
	return drafts, nil
}

// Keeper returns who keeps a replica, as its first entry has it; "" if that is not
// here.
func (l *Logbook) Keeper(replica uuid.UUID) string {
	return l.garage().replicas[replica].body.Person
}

// makeSignatures finds the signatures under a build's sign-offs, and which of its
// devices sign.
func (b *Build) makeSignatures(led *ledger) {
	b.signed = map[ID]*SignatureLine{}
	for _, s := range led.signatures {
		if of, ok := b.log.byID[s.body.Of]; ok && b.log.items[of].rep != b.log.items[s.n].rep {
			continue // nobody signs, or spoils, what another device signs off
		}
		line := &SignatureLine{Fact: b.log.fact(b.own, s.n), Signature: s.body}
		line.Fault = b.log.signatureFault(b.own, s.n, &s.body)
		if old := b.signed[line.Of]; old == nil || old.Fault != "" {
			b.signed[line.Of] = line
		}
	}
}

// signatureFault says why a signature does not count. What it finds out is kept:
// entries do not change.
func (l *Logbook) signatureFault(g *garage, n uint32, s *Signature) string {
	it := &l.items[n]
	of, ok := l.byID[s.Of]
	if !ok || l.items[of].build != it.build || l.items[of].seq >= it.seq {
		return "it is under no sign-off before it in this build"
	}
	if fault, ok := l.verified[it.id]; ok {
		return fault
	}
	fault := ""
	text, ok := Statement([]byte(l.items[of].raw), l.fact(g, of).Person)
	if !ok {
		fault = "it is under an entry that is no sign-off"
	} else if err := s.Verify(text); err != nil {
		fault = err.Error()
	}
	if _, known := g.replicas[l.replicas[it.rep].id]; !known {
		return fault // who keeps the device is not known yet
	}
	if l.verified == nil {
		l.verified = map[ID]string{}
	}
	l.verified[it.id] = fault
	return fault
}

// signOffKey returns the first signature of a replica, in any build: it says which
// key is the device's. ok is false for a device that signs nothing.
func (l *Logbook) signOffKey(rep uint16) (first Signature, seq uint32, ok bool) {
	for _, n := range l.signs {
		it := &l.items[n]
		if it.rep != rep || it.state&held != 0 || ok && it.seq >= seq {
			continue
		}
		if s, read := read[Signature](l, n); read {
			first, seq, ok = s.body, it.seq, true
		}
	}
	return first, seq, ok
}

// unsigned says why a sign-off, an entry of this build, lacks the signature that
// its device puts under sign-offs; "" if it does not. The signature itself is nil
// for a device that signs nothing.
func (b *Build) unsigned(id ID) (*SignatureLine, string) {
	n := b.log.byID[id]
	it := &b.log.items[n]
	s := b.signed[id]
	first, seq, signs := b.log.signOffKey(it.rep)
	switch {
	case s != nil && s.Fault != "":
		return s, "its signature does not count: " + s.Fault
	case s != nil && (s.Alg != first.Alg || string(s.Key) != string(first.Key)):
		return s, "it was signed with another key than the one its device began with"
	case s == nil && signs && it.seq > seq:
		return nil, "its device signs what it signs off, and this is not signed"
	}
	return s, ""
}

// findUnsigned raises sign-offs that do not count for want of the signature that
// their device puts under them.
func (b *Build) findUnsigned() {
	raise := func(f *Fact, at When, what string, c *Check) {
		if _, why := b.unsigned(f.ID); why != "" {
			b.raise(&Finding{Key: "unsigned:" + f.ID.String(), Kind: FindingUnsigned, Check: c, At: at, Open: true,
				Text: what + " does not count: " + why})
		}
	}
	for i := range b.Releases {
		r := &b.Releases[i]
		raise(&r.Fact, r.At, "the release of "+r.Point, b.check[r.Point])
	}
	for _, c := range b.Checks {
		for _, k := range c.Grants {
			raise(&k.Fact, k.At, "the concession on "+c.ID, c)
		}
	}
}
