/** How card, rivets and phone lie. */
export function HowToLay() {
  return (
    <svg viewBox="0 0 358 200" aria-hidden="true" style={{ width: "100%", maxWidth: "420px" }}>
      <path class="d-thin" d="M20 170H338V182H20z" />
      <path class="d-hidden" d="M179 40 60 168M179 40 298 168" />
      <rect
        x="130"
        y="14"
        width="98"
        height="16"
        rx="2"
        fill="none"
        stroke="var(--ink)"
        stroke-width="2"
      />
      <circle cx="179" cy="33" r="4" fill="var(--ink)" />
      <rect x="78" y="164" width="96" height="6" fill="var(--ink)" />
      <path
        d="M200 170a9 9 0 0 1 18 0zM236 170a9 9 0 0 1 18 0zM272 170a9 9 0 0 1 18 0z"
        fill="var(--ink)"
      />
      <path class="d-thin" d="M326 30V168M318 30h16" />
      <path class="d-arrow" d="M326 30l-2.500 11h5zM326 168l-2.500-11h5z" />
      <rect class="d-plaque" x="296" y="86" width="60" height="20" />
      <text class="d-text" x="326" y="96">
        120
      </text>
    </svg>
  );
}
