package model

import (
	"ampwright/model/cbor"

	"github.com/google/uuid"
)

// A codec walks the fields of an entry or a run; see [cbor.Codec].
type codec struct{ cbor.Codec }

func (c *codec) entryID(k int, v *ID)          { c.ID(k, (*[16]byte)(v)) }
func (c *codec) replicaID(k int, v *uuid.UUID) { c.ID(k, (*[16]byte)(v)) }

func (c *codec) ids(k int, v *[]ID) {
	if !c.At(k, len(*v) > 0) {
		return
	}
	if c.Enc {
		c.Out = cbor.AppendHead(c.Out, cbor.Array, uint64(len(*v)))
		for i := range *v {
			c.Out = append(cbor.AppendHead(c.Out, cbor.Bytes, 16), (*v)[i][:]...)
		}
		return
	}
	n := c.Items(k)
	*v = make([]ID, 0, n)
	for i := 0; i < n && c.Err == nil; i++ {
		*v = append(*v, ID(c.ReadID()))
	}
}

// when walks two keys: seconds since 1970 and, at k+1, the offset of the
// writer's clock face from UTC in minutes.
func (c *codec) when(k int, v *When) {
	c.Num(k, &v.Unix)
	off := int64(v.Offset)
	c.Num(k+1, &off)
	if off < -18*60 || off > 18*60 {
		c.Fail("offset of %d min from UTC: -1080 to 1080 is possible", off)
	}
	v.Offset = int16(off)
}
