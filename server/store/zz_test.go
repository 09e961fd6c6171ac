package store

import (
	"fmt"
	"testing"
)

func TestZ(t *testing.T) {
	h := newHouse(t)
	h.signMore(3, h.pia, h.ines, h.tomas)
	key, err := h.Propose(h.ctx, h.ines, h.pia.Key, "TH4", "x", "")
	fmt.Println(key, err, h.rows("signoff"))
	so, err := h.SignOff(h.ctx, h.runa, key)
	fmt.Println(so, err)
	a, err := h.SignOffs(h.ctx, h.runa)
	fmt.Println(len(a), err)
	fmt.Println(h.Decide(h.ctx, h.tomas, key, true, "", ""))
	fmt.Println(h.Store.read.Statement.Table)
}
