package curriculum

import (
	_ "embed"
	"fmt"
	"sync"
)

//go:embed default.yaml
var defaultFile []byte

// Default returns the programme that ships with Tablehand.
var Default = sync.OnceValue(func() *Programme {
	p, err := Read("default.yaml", defaultFile)
	if err != nil {
		panic(fmt.Sprintf("the built-in programme does not pass its own checks: %v", err))
	}
	return p
})
