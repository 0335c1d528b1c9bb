// SPDX-License-Identifier: Apache-2.0
// @ts-check
/** Fewer touches: a step of the plan says what is done and where, and an action says which step. */

/** @param {HTMLFormElement} form  The form of a log entry. */
function followThePlan(form) {
  const inputs = /** @type {HTMLInputElement[]} */ ([...form.querySelectorAll("input")]);
  const actions = inputs.filter((one) => one.name === "action");
  const places = inputs.filter((one) => one.name === "mark_ids");
  const steps = inputs.filter((one) => one.name === "plan_step_id");
  let isStepChosenByHand = false;

  /** @param {HTMLInputElement} step  The step touched; what a person chose before stands. */
  function chooseWhatItSays(step) {
    const action = actions.find((one) => one.value === step.dataset.action);
    if (action && !actions.some((one) => one.checked)) action.checked = true;
    if (places.some((one) => one.checked)) return;
    const marks = (step.dataset.marks ?? "").split(" ");
    for (const place of places) place.checked = marks.includes(place.value);
  }

  /** @param {HTMLInputElement} action  The action touched; the first step of it is chosen. */
  function chooseItsStep(action) {
    const step = steps.find((one) => one.dataset.action === action.value) ?? steps.at(-1);
    if (step) step.checked = true;
  }

  form.addEventListener("change", (event) => {
    const touched = /** @type {HTMLInputElement} */ (event.target);
    if (touched.name === "plan_step_id") {
      isStepChosenByHand = true;
      chooseWhatItSays(touched);
    } else if (touched.name === "action" && !isStepChosenByHand) {
      chooseItsStep(touched);
    }
  });
}

for (const form of document.querySelectorAll("form.entry")) {
  followThePlan(/** @type {HTMLFormElement} */ (form));
}
