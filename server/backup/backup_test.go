package backup

import (
	"bytes"
	"compress/flate"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/binary"
	"encoding/json"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"ampwright/model"
	"ampwright/model/modeltest"
	"ampwright/sync/keep"

	"github.com/google/uuid"
	"github.com/stretchr/testify/require"
)

// sample is a log with two chains, one that is forked, an unknown kind, one that
// is sealed, and two blobs.
func sample(t testing.TB) (*keep.Memory, *keep.MemoryBlobs) {
	log, blobs := keep.NewMemory(), keep.NewMemoryBlobs()
	require.NoError(t, log.Append(modeltest.Garage(1300, 4)))
	fork := model.Pen{Replica: uuid.UUID{7}}
	trunk, err := fork.Write([]model.Draft{{Body: &model.Note{Text: "trunk"}}, {Body: &model.Unknown{Name: "x-later", CBOR: "\xa1\x01\x02"}}}, 1<<40)
	require.NoError(t, err)
	twin := fork
	a, err := fork.Write([]model.Draft{{Body: &model.Note{Text: "a"}}}, 1<<40)
	require.NoError(t, err)
	b, err := twin.Write([]model.Draft{{Body: &model.Note{Text: "b"}}}, 1<<40)
	require.NoError(t, err)
	require.NoError(t, log.Append(slices.Concat(trunk, a, b)))
	raws, seals := sealed(t, 2)
	require.NoError(t, log.Append(raws, seals...))
	for _, data := range []string{"photo one", "a second photo"} {
		_, err := blobs.Put(bytes.NewReader([]byte(data)))
		require.NoError(t, err)
	}
	return log, blobs
}

var key = ed25519.NewKeyFromSeed(make([]byte, 32))

// sealed is a chain of n sealed commits.
func sealed(t testing.TB, n int) (raws [][]byte, seals []model.Seal) {
	pen := model.Pen{Replica: uuid.UUID{8}}
	body := model.Body(&model.Replica{Key: key.Public().(ed25519.PublicKey)})
	for range n {
		commit, err := pen.Write([]model.Draft{{Body: body}}, 1<<40)
		require.NoError(t, err)
		seal, err := model.SealCommit(commit, func(m []byte) []byte { return ed25519.Sign(key, m) })
		require.NoError(t, err)
		raws, seals = append(raws, commit...), append(seals, seal...)
		body = &model.Note{Text: "on"}
	}
	return raws, seals
}

func header() Header {
	return Header{Made: time.Date(2026, 11, 21, 9, 0, 0, 0, time.UTC), Program: "backup test", Replica: uuid.UUID{9}, Device: "bench laptop"}
}

// written returns the bytes of a backup.
func written(t testing.TB, log Log, blobs keep.Blobs) []byte {
	var b bytes.Buffer
	_, left, err := Write(&b, header(), log, blobs)
	require.NoError(t, err)
	require.Empty(t, left)
	return b.Bytes()
}

func TestThereAndBack(t *testing.T) {
	log, blobs := sample(t)
	path := filepath.Join(t.TempDir(), "garage.backup")
	h, left, err := Save(path, header(), log, blobs)
	require.NoError(t, err)
	require.Empty(t, left)
	require.Equal(t, 1306, h.Entries)
	require.Equal(t, 2, h.Seals)
	require.Equal(t, 2, h.Blobs)
	require.Len(t, h.Chains, 4)

	copied := keep.NewMemoryBlobs()
	c, err := Read(path, func(id keep.BlobID, data []byte) error {
		got, err := copied.Put(bytes.NewReader(data))
		require.Equal(t, id, got)
		return err
	})
	require.NoError(t, err)
	require.Equal(t, h, c.Header)
	again := keep.NewMemory()
	require.NoError(t, again.Append(c.Raws, c.Seals...))
	require.Equal(t, written(t, log, blobs), written(t, again, copied), "the same content makes the same file")
	info, err := os.Stat(path)
	require.NoError(t, err)
	require.Equal(t, info.Size(), c.Bytes)
	require.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	entries, err := os.ReadDir(filepath.Dir(path))
	require.NoError(t, err)
	require.Len(t, entries, 1, "nothing half written")

	empty := filepath.Join(t.TempDir(), "empty.backup")
	_, _, err = Save(empty, header(), keep.NewMemory(), keep.NewMemoryBlobs())
	require.NoError(t, err)
	c, err = Read(empty, nil)
	require.NoError(t, err)
	require.Zero(t, c.Entries)
	require.Empty(t, c.Raws)
}

// A file from before there were seals reads: it differs in nothing but them.
func TestWithoutSeals(t *testing.T) {
	log := keep.NewMemory()
	raws, _ := sealed(t, 3)
	require.NoError(t, log.Append(raws))
	file := written(t, log, keep.NewMemoryBlobs())
	require.NotContains(t, string(file[:bytes.IndexByte(file, '\n')]), "seals")
	require.Equal(t, 0, lastRun(file))
	require.Equal(t, byte('e'), file[len(file)-33])
	c, err := read(bytes.NewReader(file), nil)
	require.NoError(t, err)
	require.Len(t, c.Raws, 3)
	require.Empty(t, c.Seals)
}

// A second reader, written from the package's description with nothing of the
// first: what it says of the file is enough.
func TestFormat(t *testing.T) {
	log, blobs := sample(t)
	file := written(t, log, blobs)
	line, rest, ok := bytes.Cut(file, []byte("\n"))
	require.True(t, ok)
	var h map[string]any
	require.NoError(t, json.Unmarshal(line, &h))
	require.Equal(t, "ampwright-backup/1", h["format"])
	require.Equal(t, "2026-11-21T09:00:00Z", h["made"])
	require.Equal(t, "backup test", h["program"])
	require.Equal(t, uuid.UUID{9}.String(), h["replica"])
	require.Equal(t, "bench laptop", h["device"])
	require.EqualValues(t, 1306, h["entries"])
	require.EqualValues(t, 2, h["seals"])
	require.EqualValues(t, 2, h["blobs"])
	entries, heads, photos, seals := map[model.ID]bool{}, map[string]bool{}, []string{}, 0
	for rest[0] != 'e' {
		kind, n := rest[0], binary.BigEndian.Uint32(rest[1:5])
		rest = rest[5:]
		if kind == 'r' {
			run, err := io.ReadAll(flate.NewReader(bytes.NewReader(rest[:n])))
			require.NoError(t, err)
			require.NoError(t, model.UnpackRun(run, func(raw string, id model.ID) error {
				l, err := model.LinkOf([]byte(raw))
				require.True(t, l.Seq == 1 || entries[l.Prev])
				delete(heads, l.Prev.String())
				entries[id], heads[id.String()] = true, true
				return err
			}))
		} else if kind == 's' {
			require.Zero(t, n%104)
			for part := range slices.Chunk(rest[:n], 104) {
				text := append([]byte("ampwright seal 1"), part[:40]...) // what model/seal.go signs
				require.True(t, ed25519.Verify(key.Public().(ed25519.PublicKey), text, part[40:]))
				require.True(t, entries[model.ID(part[24:40])])
				seals++
			}
		} else {
			require.Equal(t, byte('b'), kind)
			sum := sha256.Sum256(rest[32 : 32+n])
			require.Equal(t, rest[:32], sum[:])
			photos = append(photos, string(rest[32:32+n]))
			n += 32
		}
		rest = rest[n:]
	}
	require.Len(t, rest, 33)
	sum := sha256.Sum256(file[:len(file)-32])
	require.Equal(t, sum[:], rest[1:])
	require.Len(t, entries, 1306)
	require.Equal(t, 2, seals)
	require.ElementsMatch(t, []string{"photo one", "a second photo"}, photos)
	promised := 0
	for _, c := range h["chains"].([]any) {
		for _, head := range c.(map[string]any)["heads"].([]any) {
			delete(heads, head.(map[string]any)["id"].(string))
			promised++
		}
	}
	require.Equal(t, 5, promised, "the chains of the laptop and the phone and the sealed one end once, the forked one twice")
	for id := range heads { // the trunk of the fork was followed twice
		t.Errorf("%s ends a chain and is not in the header", id)
	}
}

// requireDamaged requires that a file is refused, and returns why.
func requireDamaged(t *testing.T, file []byte) string {
	t.Helper()
	_, err := read(bytes.NewReader(file), nil)
	var bad damage
	require.ErrorAs(t, err, &bad)
	require.NotEmpty(t, bad.Error())
	return bad.Error()
}

// Any byte that changes is noticed, and where it stands is said for all but the
// header and the checksum.
func TestFlippedBits(t *testing.T) {
	log, blobs := sample(t)
	file := written(t, log, blobs)
	r := rand.New(rand.NewPCG(1, 2))
	head := bytes.IndexByte(file, '\n')
	var places []int
	for at := range file {
		if at < head+50 || at > len(file)-200 || r.IntN(60) == 0 {
			places = append(places, at)
		}
	}
	located := 0
	for _, at := range places {
		bad := slices.Clone(file)
		bad[at] ^= 1 << r.IntN(8)
		if says := requireDamaged(t, bad); bytes.Contains([]byte(says), []byte("byte")) {
			located++
		}
	}
	t.Logf("%d flips, all noticed, for %d it is said where", len(places), located)
	require.Greater(t, located, len(places)/2)

	at := bytes.Index(file, []byte("a second photo"))
	bad := slices.Clone(file)
	bad[at+2] ^= 0x20
	require.Regexp(t, `^bytes \d+ to \d+ are not what was written: the bytes of blob [0-9a-f]{64} have the SHA-256`, requireDamaged(t, bad))
	bad = bytes.Replace(file, []byte("bench laptop"), []byte("bench lapdog"), 1)
	require.Contains(t, requireDamaged(t, bad), "its checksum is not that of its bytes")
}

// A file that was cut says so, wherever the cut is.
func TestCut(t *testing.T) {
	log, blobs := sample(t)
	file := written(t, log, blobs)
	head := bytes.IndexByte(file, '\n')
	r := rand.New(rand.NewPCG(3, 4))
	require.Equal(t, "it is empty", requireDamaged(t, nil))
	for n := 1; n < len(file); n++ {
		if n > head+20 && n < len(file)-60 && r.IntN(40) > 0 {
			continue
		}
		require.Contains(t, requireDamaged(t, file[:n]), "it was cut short", n)
	}
	require.Equal(t, "something follows its end mark at byte "+itoa(len(file)), requireDamaged(t, append(slices.Clone(file), '\n')))
}

func itoa(n int) string { b, _ := json.Marshal(n); return string(b) }

// forged gives a file a right checksum after a change.
func forged(file []byte) []byte {
	file = file[:len(file)-32]
	sum := sha256.Sum256(file)
	return append(slices.Clone(file), sum[:]...)
}

// dropItem takes the i-th item out of a file.
func dropItem(file []byte, i int) []byte {
	at := bytes.IndexByte(file, '\n') + 1
	for ; ; i-- {
		n := 5 + int(binary.BigEndian.Uint32(file[at+1:]))
		if file[at] == 'b' {
			n += 32
		}
		if i == 0 {
			return forged(slices.Concat(file[:at], file[at+n:]))
		}
		at += n
	}
}

// What a right checksum does not tell: something is missing.
func TestMissing(t *testing.T) {
	log, blobs := sample(t)
	file := written(t, log, blobs)
	head := bytes.IndexByte(file, '\n')
	for name, tt := range map[string]struct {
		file []byte
		want string
	}{
		"last run":        {dropItem(file, lastRun(file)), `is missing, which its header names as the last of a chain`},
		"first run":       {dropItem(file, 0), `entry \d+ of replica .* which is not here: want a chain without holes|is missing, which`},
		"seals":           {dropItem(file, lastRun(file)+1), `it holds 0 seals, its header promises 2`},
		"blob":            {dropItem(file, lastRun(file)+2), `it holds 1 blobs, its header promises 2`},
		"no format":       {forged(append([]byte("{}\n"), file[head+1:]...)), `its format is "", want "ampwright-backup/1"`},
		"newer":           {forged(bytes.Replace(file, []byte("backup/1"), []byte("backup/2"), 1)), `it has format "ampwright-backup/2" and was made by "backup test", this program reads "ampwright-backup/1"`},
		"chains":          {forged(slices.Concat([]byte(`{"format":"ampwright-backup/1"}`+"\n"), file[head+1:])), `it holds 5 ends of chains that its header does not name`},
		"forged seal":     {spoilSeals(file, 40), `bytes \d+ to \d+ are not what was written: seal of entry 1 of replica 08000000-.*: it was not made with the key`},
		"seal elsewhere":  {spoilSeals(file, 30), `seal of entry 1 .*: want one of an entry that is there`},
		"seals twice":     {spoilSeals(file, -1), `the seal of entry 1 of replica 08000000-.* is there twice or out of order`},
		"another thing":   {[]byte("not a backup\n"), `its first line is no header`},
		"one long line":   {bytes.Repeat([]byte("x"), maxHeader+2), `it is no backup`},
		"a run too large": {slices.Concat(file[:head+1], []byte("r\xff\xff\xff\xff")), `an item of 4294967295 bytes, at most 17825792 are possible`},
		"a bomb":          {slices.Concat(file[:head+1], bomb(t)), `more than 17825792 bytes when unpacked`},
	} {
		require.Regexp(t, tt.want, requireDamaged(t, tt.file), name)
	}
}

// spoilSeals changes a byte of the first seal, or with -1 makes the second like
// it.
func spoilSeals(file []byte, at int) []byte {
	file = slices.Clone(file)
	seals := file[len(file)-33-(5+32+len("photo one"))-(5+32+len("a second photo"))-2*104:]
	if at < 0 {
		copy(seals[104:], seals[:104])
	} else {
		seals[at] ^= 1
	}
	return forged(file)
}

func lastRun(file []byte) int {
	n, at := -1, bytes.IndexByte(file, '\n')+1
	for file[at] == 'r' {
		n++
		at += 5 + int(binary.BigEndian.Uint32(file[at+1:]))
	}
	return n
}

// bomb is a run that grows a thousandfold when unpacked.
func bomb(t *testing.T) []byte {
	var packed bytes.Buffer
	z, err := flate.NewWriter(&packed, 9)
	require.NoError(t, err)
	_, err = z.Write(make([]byte, 64<<20))
	require.NoError(t, err)
	require.NoError(t, z.Close())
	return append(binary.BigEndian.AppendUint32([]byte{'r'}, uint32(packed.Len())), packed.Bytes()...)
}

// Nothing stands under the name when the writing fails, and what stood there
// before is still there.
func TestSaveFails(t *testing.T) {
	log, blobs := sample(t)
	dir := t.TempDir()
	path := filepath.Join(dir, "garage.backup")
	require.NoError(t, os.WriteFile(path, []byte("the one before"), 0o600))
	gone := errors.New("the disk is gone")
	_, _, err := Save(path, header(), failing{log, gone}, blobs)
	require.ErrorIs(t, err, gone)
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, "the one before", string(data))
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.Len(t, entries, 1)
	_, _, err = Save(filepath.Join(dir, "nowhere", "x"), header(), log, blobs)
	require.ErrorIs(t, err, os.ErrNotExist)
}

// failing is a log that does not tell its heads.
type failing struct {
	*keep.Memory
	err error
}

func (f failing) Heads() (map[uuid.UUID][]model.Head, error) { return nil, f.err }

// A photo that no longer reads does not keep the rest from being saved.
func TestBlobThatDoesNotRead(t *testing.T) {
	log, _ := sample(t)
	blobs := rotten{keep.NewMemoryBlobs()}
	good, err := blobs.Put(bytes.NewReader([]byte("good")))
	require.NoError(t, err)
	bad, err := blobs.Put(bytes.NewReader([]byte("rotten")))
	require.NoError(t, err)
	path := filepath.Join(t.TempDir(), "garage.backup")
	h, left, err := Save(path, header(), log, blobs)
	require.NoError(t, err)
	require.Equal(t, 1, h.Blobs)
	require.Equal(t, []keep.BlobID{bad}, left)
	c, err := Read(path, nil)
	require.NoError(t, err)
	require.Equal(t, []keep.Blob{{ID: good, Size: 4}}, c.Blobs)
}

type rotten struct{ *keep.MemoryBlobs }

func (r rotten) Get(id keep.BlobID) ([]byte, error) {
	data, err := r.MemoryBlobs.Get(id)
	if err == nil && string(data) == "rotten" {
		err = &keep.BadBlobError{Want: id}
	}
	return data, err
}

func FuzzRead(f *testing.F) {
	log, blobs := keep.NewMemory(), keep.NewMemoryBlobs()
	raws, seals := sealed(f, 3)
	require.NoError(f, log.Append(slices.Concat(modeltest.Garage(5, 1), raws), seals...))
	_, err := blobs.Put(bytes.NewReader([]byte("photo")))
	require.NoError(f, err)
	file := written(f, log, blobs)
	f.Add(file)
	f.Add(file[:len(file)/2])
	f.Add([]byte("{}\ne"))
	f.Fuzz(func(t *testing.T, data []byte) {
		c, err := read(bytes.NewReader(data), nil)
		if err != nil {
			return
		}
		log := keep.NewMemory()
		require.NoError(t, log.Append(c.Raws, c.Seals...))
		heads, err := log.Heads()
		require.NoError(t, err)
		require.Len(t, c.Chains, len(heads))
		require.Len(t, c.Raws, c.Entries)
	})
}

func BenchmarkSave(b *testing.B) {
	log := keep.NewMemory()
	require.NoError(b, log.Append(modeltest.Garage(100_000, 1)))
	path := filepath.Join(b.TempDir(), "garage.backup")
	for b.Loop() {
		_, _, err := Save(path, header(), log, keep.NewMemoryBlobs())
		require.NoError(b, err)
	}
	info, err := os.Stat(path)
	require.NoError(b, err)
	b.ReportMetric(float64(info.Size())/100_000, "B/entry")
	b.ReportMetric(100_000*float64(b.N)/b.Elapsed().Seconds(), "entries/s")
}
