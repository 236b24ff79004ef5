"use strict";
/* A side or a batch is not ended while weights of it wait on this tablet: they are sent from here too, and what the
   shop doubts or refuses of them is answered first. */
(() => {
  const sender = weightQueue.sender({
    stored: () => { if (!sender.waits()) location.reload(); },
  });
  document.querySelector("main form[data-ends]").addEventListener("submit", (event) => {
    if (!sender.isOpen()) return;
    event.preventDefault();
    event.stopPropagation();  // it is not sent, so that it may be pressed again
    document.querySelector("#asked button, #waiting").scrollIntoView({ block: "center" });
  });
})();
