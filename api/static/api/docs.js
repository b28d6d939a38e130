"use strict";
// Swagger UI on our own document; nothing is fetched from another host.
window.addEventListener("load", () => {
  const place = document.getElementById("api-docs");
  window.SwaggerUIBundle({
    url: place.dataset.document,
    domNode: place,
    presets: [window.SwaggerUIBundle.presets.apis],
    layout: "BaseLayout",
    deepLinking: true,
    docExpansion: "list",
    defaultModelsExpandDepth: 0,
    validatorUrl: null,
    persistAuthorization: false,
    requestInterceptor: (request) => {
      if (!["GET", undefined].includes(request.method)) {
        request.headers["X-CSRFToken"] = place.dataset.csrf;
      }
      return request;
    },
  });
});
