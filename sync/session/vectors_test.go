package session_test

import (
	"bytes"
	"crypto/ed25519"
	"crypto/hmac"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"encoding/json"
	"flag"
	"os"
	"slices"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/sync/session"
	"ampwright/sync/wire"

	"github.com/fxamacker/cbor/v2"
	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write testdata/link/talk.json anew")

// A talk is all frames of some connections between two replicas, for programs in
// other languages to read and to make.
type talk struct {
	About  string
	Secret string // text
	Sides  map[string]side
	Frames []frame
}

type side struct {
	Replica, Seed, Key string // the seed of the Ed25519 key as in RFC 8032, section 5.1.5
	Nonce              string // of its first connection; the first byte is one more in each after
}

type frame struct {
	Connection int // 1, 2, ...
	From       string
	Kind       string
	Meaning    string
	Bytes      string
	Entries    []string `json:",omitempty"` // what the columns hold, in order
}

func sideOf(d *device) side {
	return side{d.name.String(), hex.EncodeToString(d.key.Seed()), hex.EncodeToString(d.cfg.Key), hex.EncodeToString(d.cfg.Nonce[:])}
}

const talkFile = "../../testdata/link/talk.json"

// kinds are the names of frames in the package comment of wire, with what they
// say in every talk.
var kinds = []struct{ name, meaning string }{
	{}, {"hello", "the dialling side says who it is"}, {"welcome", "the other side chooses version 1 and says who it is"},
	{"prove", "a signature over the statement and, with an invitation, a mac"}, {"have", "all heads, and a digest of the state"},
	{"entries", "portions of chains"}, {"kept", "the heads of a batch that are durable now"}, {"held", "what is not taken of a batch"},
	{"ladder", "entries of a chain that parts"}, {"blob.have", "a blob is here whole"}, {"blob.want", "a part of a blob is asked for"},
	{"blob.part", "a part of a blob"}, {"credit", "more bytes are granted"}, {"beat", "a sign of life after 20 s"},
	{"beat.ok", "the answer to a beat"}, {"bye", "the session ends"},
}

// record makes the talk.
func record(t *testing.T) talk {
	laptop, phone := newDevice(t, 1), newDevice(t, 2)
	names := map[*device]string{}
	out := talk{About: "Frames of package sync/wire, version 1, in the order they were sent. Bytes are hexadecimal.", Secret: string(secret), Sides: map[string]side{}}
	for d, name := range map[*device]string{laptop: "laptop", phone: "phone"} {
		names[d] = name
		out.Sides[name] = sideOf(d)
	}
	connection := 0
	connect := func(a, b *device) *pair {
		connection++
		n := connection
		p := &pair{t: t, a: a, b: b, now: start.Add(time.Duration(n) * time.Hour)}
		p.log = func(from *device, bytes []byte) {
			m, err := wire.Decode(bytes)
			require.NoError(t, err)
			kind := kinds[int(bytes[2])]
			f := frame{Connection: n, From: names[from], Kind: kind.name, Meaning: kind.meaning, Bytes: hex.EncodeToString(bytes)}
			if m, ok := m.(*wire.Entries); ok {
				for _, p := range m.Portions {
					for _, raw := range p.Raws {
						f.Entries = append(f.Entries, hex.EncodeToString(raw))
					}
				}
			}
			out.Frames = append(out.Frames, f)
		}
		for _, d := range []*device{a, b} {
			d.cfg.Nonce = sha256.Sum256([]byte{d.name[0], 1})
			d.cfg.Nonce[0] += byte(n - 1)
		}
		p.open()
		return p
	}

	// 1: a phone that is new comes with an invitation.
	laptop.write(&model.Note{At: model.When{Unix: 1_788_631_260, Offset: 120}, Text: "swingarm pivot is dry"}, &model.Note{Text: "ordered grease"})
	blob := []byte("not really a photo")
	hash := wire.Hash(sha256.Sum256(blob))
	laptop.blobs[hash] = blob
	invited(laptop, phone)
	p := connect(phone, laptop)
	phone.step(p.now, session.WantBlob{Hash: hash})
	p.run()
	phone.write(&model.Note{Text: "torque wrench is back"})
	p.grew(phone)
	p.pass(25 * time.Second)
	laptop.fail = os.ErrInvalid
	phone.write(&model.Note{Text: "battery box measured"})
	p.grew(phone)
	laptop.fail = nil
	phone.step(p.now, session.Stop{Code: wire.CodeStopped, Text: "the page was closed"})
	p.run()

	// 2 and 3: the phone was copied; both lines went on.
	laptop.cfg.Secret, phone.cfg.Secret = nil, nil
	twin := phone.copy()
	names[twin] = "phone"
	phone.write(&model.Note{Text: "written on the first phone"})
	connect(phone, laptop).requireSame()
	twin.write(&model.Note{Text: "written on the copy"}, &model.Note{Text: "and this"})
	connect(twin, laptop).requireSame()

	// 4: the copy took a new name, for which the old one vouches, and comes in
	// without an invitation; both say which photos they hold.
	twin.renamed(3)
	names[twin] = "copy"
	p = connect(twin, laptop)
	p.requireSame()
	require.NotEmpty(t, twin.log.Vouchers(twin.name))
	twin.step(p.now, session.HaveBlob{Hash: hash})
	p.run()
	require.Equal(t, []session.BlobThere{{Hash: hash}}, of[session.BlobThere](laptop))
	laptop.step(p.now, session.HaveBlob{Hash: hash})
	p.run()
	out.Sides["copy"] = sideOf(twin)
	return out
}

// The frames that are sent are those on record, byte for byte.
func TestRecordedTalk(t *testing.T) {
	got, err := json.MarshalIndent(record(t), "", "\t")
	require.NoError(t, err)
	got = append(got, '\n')
	if *update {
		require.NoError(t, os.WriteFile(talkFile, got, 0o644))
	}
	want, err := os.ReadFile(talkFile)
	require.NoError(t, err)
	require.Equal(t, string(want), string(got))
}

// What is on record agrees with independent readers: the CBOR library's core
// deterministic encoding (RFC 8949, section 4.2.1), and signatures and macs made
// from the fields as the package comment of wire says.
func TestTalkByOtherMeans(t *testing.T) {
	text, err := os.ReadFile(talkFile)
	require.NoError(t, err)
	var tk talk
	require.NoError(t, json.Unmarshal(text, &tk))
	enc, err := cbor.CoreDetEncOptions().EncMode()
	require.NoError(t, err)
	seen, vouched := map[string]int{}, 0
	var hello, welcome []byte
	var d, a map[int]any
	for i, f := range tk.Frames {
		raw, err := hex.DecodeString(f.Bytes)
		require.NoError(t, err)
		var fields map[int]any
		require.NoError(t, cbor.Unmarshal(raw, &fields))
		again, err := enc.Marshal(fields)
		require.NoError(t, err)
		require.Equal(t, raw, again, i)
		require.Equal(t, kinds[fields[0].(uint64)].name, f.Kind)
		seen[f.Kind]++
		switch f.Kind {
		case "hello":
			hello, d = raw, fields
			if line, ok := fields[8].([]any); ok {
				vouched++
				was, vouch := line[0].([]byte), line[1].([]byte)
				require.Len(t, vouch, 96)
				require.Equal(t, []byte(openingKey(t, tk, was)), vouch[:32])
				said := slices.Concat([]byte("ampwright name 1"), was, fields[2].([]byte), fields[3].([]byte))
				require.True(t, ed25519.Verify(vouch[:32], said, vouch[32:]))
			}
		case "welcome":
			welcome, a = raw, fields
		case "prove":
			role, key := byte(1), d[3].([]byte)
			if f.From == "laptop" { // the phone dials
				role, key = 2, a[3].([]byte)
			}
			sum := sha256.Sum256(append(slices.Clone(hello), welcome...))
			statement := append([]byte("ampwright link 1"), role)
			for _, k := range []int{4, 2, 3} {
				statement = append(append(statement, d[k].([]byte)...), a[k].([]byte)...)
			}
			statement = append(statement, sum[:]...)
			require.True(t, ed25519.Verify(key, statement, fields[1].([]byte)), i)
			if mac, ok := fields[2]; ok {
				h := hmac.New(sha256.New, []byte(tk.Secret))
				h.Write(statement)
				require.Equal(t, h.Sum(nil), mac)
			}
		case "entries":
			portions := fields[2].([]any)
			last := 0
			for ; len(portions) > 0; portions = portions[5:] {
				last += int(portions[3].(uint64))
				entry, err := hex.DecodeString(f.Entries[last-1])
				require.NoError(t, err)
				name := sha256.Sum256(entry)
				sealed := append([]byte("ampwright seal 1"), portions[0].([]byte)...)
				sealed = binary.BigEndian.AppendUint64(sealed, portions[1].(uint64)+portions[3].(uint64))
				sealed = append(sealed, name[:16]...)
				key := openingKey(t, tk, portions[0].([]byte))
				require.True(t, ed25519.Verify(key, sealed, portions[4].([]byte)), i)
			}
			require.Len(t, f.Entries, last)
		}
	}
	require.Positive(t, vouched)
	for _, k := range kinds[1:] {
		if k.name != "credit" { // too little travels
			require.Positive(t, seen[k.name], k.name)
		}
	}
}

// openingKey returns the key in the first entry of a replica, which is somewhere
// in the talk.
func openingKey(t *testing.T, tk talk, replica []byte) []byte {
	for _, f := range tk.Frames {
		for _, e := range f.Entries {
			raw, err := hex.DecodeString(e)
			require.NoError(t, err)
			var m map[int]any
			require.NoError(t, cbor.Unmarshal(raw, &m))
			if m[2] == uint64(1) && bytes.Equal(m[1].([]byte), replica) {
				return m[10].(map[any]any)[uint64(1)].([]byte)
			}
		}
	}
	t.Fatalf("no first entry of %x", replica)
	return nil
}
