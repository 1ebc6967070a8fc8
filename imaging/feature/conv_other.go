//go:build !amd64

package feature

func (p *rowPair) correlate() { p.correlateGo() }
