//go:build !js

package photo

// memoryBudget is what decoding one picture may take, bytes: enough for 50 MP of
// progressive 4:2:0, the greediest kind a phone writes (7.5 bytes a pixel and the
// turned copy).
const memoryBudget = 512 << 20
