"use strict";
/* A side or a batch is not ended while weights of it wait on this tablet: they are sent from here too, and what the
   shop doubts or refuses of them is answered first. The balance on the page follows; what was typed into it stays. */
(() => {
  const look = async () => {
    const now = document.getElementById("ends");
    const answer = now && (await fetch(location.pathname, { redirect: "manual" }).catch(() => null));
    if (!answer || !answer.ok) return;
    now.replaceWith(new DOMParser().parseFromString(await answer.text(), "text/html").getElementById("ends"));
  };
  const sender = weightQueue.sender({ stored: () => { if (!sender.waits()) look(); } });
  document.querySelector("main form[data-ends]").addEventListener("submit", (event) => {
    if (!sender.isOpen()) return;
    event.preventDefault();
    event.stopPropagation();  // it is not sent, so that it may be pressed again
    document.querySelector("#asked button, #waiting").scrollIntoView({ block: "center" });
  });
})();
