// Catches styles that a browser drops in silence: unknown properties, a colour of
// no value, a rule that another one overrides.
export default {
  extends: ["stylelint-config-recommended", "stylelint-config-html/svelte"],
  rules: {
    // Colours are written down in tokens.css alone.
    "color-no-hex": true,
    "color-named": "never",
    "function-disallowed-list": ["rgb", "rgba", "hsl", "hsla"],
    // A part's rules are few and scoped: their order is that of reading.
    "no-descending-specificity": null,
    "selector-pseudo-class-no-unknown": [true, { ignorePseudoClasses: ["global"] }],
  },
  overrides: [{ files: ["src/shared/tokens.css"], rules: { "color-no-hex": null, "function-disallowed-list": null } }],
};
