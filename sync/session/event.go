package session

import (
	"time"

	"ampwright/model"
	"ampwright/sync/wire"
)

// An Event is what a Step is about.
type Event interface{ event() }

// Events.
type (
	// Opened says that the connection stands. It is the first event.
	Opened struct{}

	// Frame is a frame that the other side sent, whole and in order. One from
	// [Decoded] takes less of the Step's time.
	Frame struct {
		Bytes []byte

		message wire.Message // what Bytes say; nil if that is not known yet
	}

	// Tick says that time has passed: due at [Session.Next] at the latest.
	Tick struct{}

	// Grew says that the log has entries that no Append of this session brought:
	// a local commit, or those of another session.
	Grew struct{}

	// Kept answers an Append: the entries are durable and in the log, or Err.
	Kept struct {
		Batch uint64
		Err   error
	}

	// WantBlob asks the other side for a blob, From the byte on that is not here
	// yet. Blobs come one after another, behind all entries. One that is wanted
	// already is not asked for again.
	WantBlob struct {
		Hash wire.Hash
		From int64
	}

	// HaveBlob tells the other side that a blob is here whole. One that has come
	// through this session has been told of.
	HaveBlob struct{ Hash wire.Hash }

	// BlobRead answers a ReadBlob: the bytes, and the size of the whole blob,
	// which is 0 if the blob is not here.
	BlobRead struct {
		Bytes []byte
		Size  int64
	}

	// BlobKept answers a WriteBlob: the bytes are durable, or Err. After the last
	// of a blob Err also says whether the whole has the right hash.
	BlobKept struct {
		Hash wire.Hash
		Err  error
	}

	// Finish ends the session from this side once each holds what the other had to
	// give, as far as it takes it. It may come at any time.
	Finish struct{}

	// Stop ends the session from this side. The other side is told.
	Stop struct {
		Code  wire.Code
		Text  string
		Retry time.Duration // when the other side may try again; 0 for its own choice
	}
)

// An Effect is work that the caller owes after a Step. Effects are done in
// order; an Append or a blob may finish later, when other events have passed.
type Effect interface{ effect() }

// Effects.
type (
	// Send sends a frame.
	Send struct{ Frame []byte }

	// Append stores entries and seals, all or none, then folds them in, then
	// answers with Kept, also in case of an error. Appends are stored in the order
	// they came.
	Append struct {
		Batch uint64
		Raws  [][]byte
		Seals []model.Seal
	}

	// Rename says that another device writes under this replica's name, or that
	// this one was set back: it must take a new name before its next write.
	Rename struct{ Why string }

	// Met says that both sides have proven who they are.
	Met struct{ Peer Peer }

	// Progress says how many entries the other side brought in this session, and
	// how many it had when last compared.
	Progress struct{ Got, Want int }

	// Diverged says that both sides hold the same entries and make of them
	// different states: an error in a program. The session goes on.
	Diverged struct{ Ours, Theirs uint64 }

	// Refused says that the other side did not take entries of a chain, or this
	// side did not (Ours).
	Refused struct {
		Held wire.Held
		Ours bool
	}

	// ReadBlob reads Max bytes of a blob, fewer only where it ends, and answers
	// with BlobRead. There is one at a time.
	ReadBlob struct {
		Hash   wire.Hash
		Offset int64
		Max    int
	}

	// WriteBlob stores bytes of a blob that was wanted and answers with BlobKept,
	// in the order they came.
	// Last says that they complete it: its SHA-256 must then be Hash.
	WriteBlob struct {
		Hash   wire.Hash
		Offset int64
		Bytes  []byte
		Last   bool
	}

	// NoBlob says that the other side does not have a blob that was wanted.
	NoBlob struct{ Hash wire.Hash }

	// BlobThere says that the other side holds a blob whole.
	BlobThere struct{ Hash wire.Hash }

	// End says that the session is over: close the connection once all is sent.
	// No Step follows. Theirs says that the other side ended it. Retry is when to
	// try again at the earliest, 0 for the caller's own choice.
	End struct {
		Code   wire.Code
		Text   string
		Retry  time.Duration
		Theirs bool
	}
)

// Decoded returns the event of a frame that has come, decoded: most of the work
// needs neither session nor log. What does not decode ends the session.
func Decoded(frame []byte) Frame {
	m, _ := wire.Decode(frame)
	return Frame{Bytes: frame, message: m}
}

func (Opened) event()   {}
func (Frame) event()    {}
func (Tick) event()     {}
func (Grew) event()     {}
func (Kept) event()     {}
func (WantBlob) event() {}
func (HaveBlob) event() {}
func (BlobRead) event() {}
func (BlobKept) event() {}
func (Finish) event()   {}
func (Stop) event()     {}

func (Send) effect()      {}
func (Append) effect()    {}
func (Rename) effect()    {}
func (Met) effect()       {}
func (Progress) effect()  {}
func (Diverged) effect()  {}
func (Refused) effect()   {}
func (ReadBlob) effect()  {}
func (WriteBlob) effect() {}
func (NoBlob) effect()    {}
func (BlobThere) effect() {}
func (End) effect()       {}
